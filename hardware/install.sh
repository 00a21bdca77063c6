#!/bin/bash
# Set up the companion on a 64-bit Raspberry Pi OS: its user, its own environment in
# /opt/companion/venv, its services, rules and settings. A second run changes nothing.
#
#     sudo hardware/install.sh                          do it, with a network
#     sudo hardware/install.sh --stick /media/usb       without one, from a stick
#     sudo hardware/install.sh --model FILE.zip         and unpack a speech model
#     hardware/install.sh --prepare /media/usb          fill a stick (same kind of machine)
#     hardware/install.sh --dry-run                     only print what would be done
#
# --root FOLDER installs into a folder instead of the system, to try the script out;
# --files-only leaves the environment, the model and the self-check out.
set -euo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
project=$(dirname "$here")
root=""
stick=""
model=""
prepare=""
dry=no
files_only=no
changes=0

fail() {
    echo "install.sh: $*" >&2
    exit 1
}

changed() {
    changes=$((changes + 1))
    if [[ $dry == yes ]]; then
        echo "would change: $*"
    else
        echo "changed: $*"
    fi
}

run() {
    if [[ $dry == no ]]; then
        "$@"
    fi
}

check_machine() {
    [[ -n $root ]] && return
    [[ $(uname -m) == aarch64 ]] ||
        fail "this is $(uname -m); the wheels exist for 64-bit Raspberry Pi OS (aarch64) only"
    [[ $EUID -eq 0 ]] || fail "run it with sudo"
    python3 -c 'import sys; sys.exit(not (3, 11) <= sys.version_info < (3, 14))' ||
        fail "Python 3.11 to 3.13 is needed; update Raspberry Pi OS"
    python3 -c 'import venv, ensurepip' || fail "run: sudo apt install python3-venv"
    python3 -c 'import lgpio' || fail "run: sudo apt install python3-lgpio"
    command -v arecord >/dev/null || fail "run: sudo apt install alsa-utils"
}

# put SOURCE DESTINATION MODE: the file is there with that content and mode.
put() {
    local to=$root$2
    if cmp -s "$1" "$to" && [[ $(stat -c %a "$to") == "$3" ]]; then
        return
    fi
    changed "$2"
    run install -D --mode "0$3" "$1" "$to"
}

# put_once: as put, but what is there already belongs to the technician.
put_once() {
    if [[ ! -e $root$2 ]]; then
        put "$1" "$2" "$3"
    fi
}

add_user() {
    [[ -n $root ]] && return
    if ! id companion >/dev/null 2>&1; then
        changed "user companion"
        run useradd --system --home-dir /var/lib/companion --shell /usr/sbin/nologin companion
    fi
    local group
    for group in audio gpio spi i2c dialout; do
        if ! id -nG companion 2>/dev/null | tr ' ' '\n' | grep -qx "$group"; then
            changed "user companion in group $group"
            run usermod --append --groups "$group" companion
        fi
    done
}

make_folder() {
    [[ -n $root || -d /var/lib/companion ]] && return
    changed "/var/lib/companion"
    run install -d --mode 0750 --owner companion --group companion /var/lib/companion
}

# What the environment is made of, as one sum.
sources() {
    (
        cd "$project"
        find companion speech checklists hardware pyproject.toml \
            -type f -not -name '*.pyc' -print0 | sort -z | xargs -0 sha256sum
    ) | sha256sum | cut -d ' ' -f 1
}

make_environment() {
    local target=$root/opt/companion/venv
    local stamp=$target/made-of
    local now
    now=$(sources)
    if [[ -f $stamp && $(cat "$stamp") == "$now" ]]; then
        return
    fi
    changed "/opt/companion/venv"
    [[ $dry == yes ]] && return
    local what=$project
    local from=()
    if [[ -n $stick ]]; then
        (cd "$stick" && sha256sum --check --quiet SHA256SUMS) ||
            fail "the stick is damaged; prepare it again"
        what=$(find "$stick/wheels" -name 'field_companion-*.whl')
        [[ -f $what ]] || fail "$stick/wheels does not hold the companion; prepare it again"
        from=(--no-index --find-links "$stick/wheels")
    fi
    # The system's own lgpio is used, because there is no wheel of it for Python 3.13.
    python3 -m venv --system-site-packages "$target"
    "$target/bin/pip" install --quiet --disable-pip-version-check --force-reinstall \
        "${from[@]}" --constraint "$here/constraints.txt" "$what"
    echo "$now" >"$stamp"
}

put_files() {
    local system=$here/system
    put "$system/companion.service" /etc/systemd/system/companion.service 644
    put "$system/companion-off.service" /etc/systemd/system/companion-off.service 644
    put "$system/companion-off.path" /etc/systemd/system/companion-off.path 644
    put "$system/journald.conf" /etc/systemd/journald.conf.d/companion.conf 644
    put "$system/udev.rules" /etc/udev/rules.d/70-companion.rules 644
    put "$system/tmpfiles.conf" /etc/tmpfiles.d/companion.conf 644
    put_once "$system/companion.toml" /etc/companion/companion.toml 644
}

add_model() {
    [[ -n $model ]] || return 0
    local into=$root/opt/companion/models
    local name
    name=$(basename "$model" .zip)
    if [[ ! -f $into/$name/files.json ]]; then
        changed "/opt/companion/models/$name"
    fi
    run "$root/opt/companion/venv/bin/companion" model "$model" --to "$into"
}

switch_on() {
    [[ -n $root || $changes -eq 0 ]] && return
    if command -v raspi-config >/dev/null; then
        run raspi-config nonint do_spi 0
    else
        echo "raspi-config is not here; switch SPI on by hand"
    fi
    run systemd-tmpfiles --create
    run udevadm control --reload
    run systemctl daemon-reload
    run systemctl restart systemd-journald
    run systemctl enable --quiet companion.service companion-off.path
}

check_itself() {
    local companion=$root/opt/companion/venv/bin/companion
    echo "Looking at everything:"
    # As the service's own user: its groups and its folder are part of what is checked.
    local as=(runuser -u companion --)
    [[ -n $root ]] && as=()
    run "${as[@]}" "$companion" check --settings "$root/etc/companion/companion.toml" ||
        echo "What is BAD above has still to be done; the rest works."
}

prepare_stick() {
    local work
    work=$(mktemp -d)
    python3 -m venv "$work/venv"
    mkdir -p "$prepare/wheels"
    "$work/venv/bin/pip" wheel --quiet --disable-pip-version-check \
        --wheel-dir "$prepare/wheels" --constraint "$here/constraints.txt" "$project"
    (cd "$prepare" && find wheels -type f -print0 | sort -z | xargs -0 sha256sum >SHA256SUMS)
    rm -r "$work"
    echo "The stick at $prepare is ready; copy this project onto it too."
}

while [[ $# -gt 0 ]]; do
    case $1 in
        --dry-run) dry=yes ;;
        --files-only) files_only=yes ;;
        --root) root=${2:?--root needs a folder} && shift ;;
        --stick) stick=${2:?--stick needs a folder} && shift ;;
        --model) model=${2:?--model needs a file} && shift ;;
        --prepare) prepare=${2:?--prepare needs a folder} && shift ;;
        *) fail "unknown argument $1; see the first lines of this file" ;;
    esac
    shift
done

if [[ -n $prepare ]]; then
    prepare_stick
    exit
fi
if [[ $dry == no ]]; then
    check_machine
fi
add_user
make_folder
if [[ $files_only == no ]]; then
    make_environment
fi
put_files
if [[ $files_only == no ]]; then
    add_model
fi
switch_on
if [[ $files_only == no && $dry == no ]]; then
    check_itself
fi
if [[ $changes -eq 0 ]]; then
    echo "Nothing had to be changed."
elif [[ $dry == yes ]]; then
    echo "Nothing was changed."
else
    echo "Done. Check the wiring against $here/WIRING.md, then restart."
fi
