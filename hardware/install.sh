#!/bin/bash
# Set up the companion on a 64-bit Raspberry Pi OS: its user, its own environment in
# /opt/companion/venv, and its service. Run it from a copy of the project:
#
#     sudo hardware/install.sh             do it
#     hardware/install.sh --dry-run        only print what would be done
#
# Without a network, put the packages' wheels on a stick and say where they are:
#
#     sudo PIP_NO_INDEX=1 PIP_FIND_LINKS=/media/usb/wheels hardware/install.sh
set -euo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
project=$(dirname "$here")
target=/opt/companion/venv
unit=/etc/systemd/system/companion.service
dry=no

fail() {
    echo "install.sh: $*" >&2
    exit 1
}

run() {
    if [[ $dry == yes ]]; then
        echo "would run: $*"
    else
        "$@"
    fi
}

check() {
    [[ $(uname -m) == aarch64 ]] ||
        fail "this is $(uname -m); the wheels exist for 64-bit Raspberry Pi OS (aarch64) only"
    [[ $EUID -eq 0 ]] || fail "run it with sudo"
    python3 -c 'import sys; sys.exit(not (3, 11) <= sys.version_info < (3, 14))' ||
        fail "Python 3.11 to 3.13 is needed; update Raspberry Pi OS"
    python3 -c 'import venv, ensurepip' || fail "run: sudo apt install python3-venv"
    python3 -c 'import lgpio' || fail "run: sudo apt install python3-lgpio"
}

add_user() {
    if ! id companion >/dev/null 2>&1; then
        run useradd --system --home-dir /var/lib/companion --shell /usr/sbin/nologin companion
    fi
    local group
    for group in audio gpio spi i2c; do
        run usermod --append --groups "$group" companion
    done
}

make_environment() {
    # The system's own lgpio is used, because there is no wheel of it for Python 3.13.
    run python3 -m venv --system-site-packages "$target"
    local constraints=()
    if [[ -f $here/constraints.txt ]]; then
        constraints=(--constraint "$here/constraints.txt")
    fi
    run "$target/bin/pip" install "${constraints[@]}" "$project"
}

switch_on_bus() {
    if command -v raspi-config >/dev/null; then
        run raspi-config nonint do_spi 0
    else
        echo "raspi-config is not here; switch SPI on by hand"
    fi
}

start_service() {
    run install --mode 0644 "$here/companion.service" "$unit"
    run systemctl daemon-reload
    run systemctl enable companion.service
}

case ${1-} in
    --dry-run) dry=yes ;;
    "") check ;;
    *) fail "unknown argument $1; the only one is --dry-run" ;;
esac

add_user
make_environment
switch_on_bus
start_service
if [[ $dry == yes ]]; then
    echo "Nothing was changed."
    exit
fi
echo "Done. Check the wiring against $here/WIRING.md, then restart."
