import sys
import threading

import numpy as np
import pytest

from speech import players
from speech.players import PipePlayer, find_device, open_player
from speech.ports import DeviceError
from speech.sound import Sound

SOUND = Sound(samples=np.arange(-500, 500, dtype=np.int16), rate=22_050)
LONG = Sound(samples=np.zeros(2_000_000, dtype=np.int16))


def program(text, *arguments):
    return (sys.executable, "-c", text, *arguments)


def test_the_program_gets_the_format_and_the_samples(tmp_path):
    out = tmp_path / "out"
    text = (
        "import sys, pathlib;"
        "data = sys.stdin.buffer.read();"
        "pathlib.Path(sys.argv[1]).write_bytes(' '.join(sys.argv[2:]).encode() + data)"
    )
    player = PipePlayer(program(text, str(out)))
    player.play(SOUND)
    player.close()
    form = b"-f S16_LE -c 1 -r 22050 -t raw -"
    assert out.read_bytes() == form + SOUND.samples.tobytes()


def test_a_program_that_fails_is_reported():
    text = "import sys; sys.stdin.buffer.read(); sys.exit('no such card')"
    with pytest.raises(DeviceError, match="cannot play: no such card"):
        PipePlayer(program(text)).play(SOUND)


def test_a_program_that_stops_reading_is_reported():
    with pytest.raises(DeviceError, match="cannot play: exit code 4"):
        PipePlayer(program("import os; os._exit(4)")).play(LONG)


def test_a_missing_program_is_reported():
    with pytest.raises(DeviceError, match="no-such-player: No such file"):
        PipePlayer(("no-such-player",)).play(SOUND)


def test_a_cut_ends_playing_without_complaint():
    player = PipePlayer(program("import threading; threading.Event().wait(60)"))
    playing = threading.Thread(target=player.play, args=(LONG,))
    playing.start()
    player.cut()
    playing.join(20)
    assert not playing.is_alive()


def test_a_cut_holds_until_armed():
    player = PipePlayer(("no-such-player",))
    player.cut()
    player.play(SOUND)
    player.arm()
    with pytest.raises(DeviceError):
        player.play(SOUND)


class Devices:
    def __init__(self, *names):
        self.names = names

    def query_devices(self):
        return [
            {"name": name, "max_input_channels": at % 2, "max_output_channels": 1}
            for at, name in enumerate(self.names)
        ]


def test_devices_are_found_by_a_part_of_their_name():
    library = Devices("Jack", "USB Headset")
    assert find_device(library, "", "output") is None
    assert find_device(library, "headset", "output") == 1
    with pytest.raises(DeviceError, match="'jack'; there is: USB Headset"):
        find_device(library, "jack", "input")
    with pytest.raises(DeviceError, match="none at all"):
        find_device(Devices(), "", "input")


def test_without_any_way_to_play_the_cure_is_named(monkeypatch):
    monkeypatch.setenv("PATH", "")
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(DeviceError, match="sudo apt install alsa-utils"):
        open_player()


def test_aplay_is_taken_where_there_is_one(tmp_path, monkeypatch):
    program = tmp_path / "aplay"
    program.write_text("#!/bin/sh\n/bin/cat >/dev/null\n")
    program.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    player = open_player("plughw:CARD=Headset")
    assert isinstance(player, players.PipePlayer)
    player.play(SOUND)
    player.close()


def test_a_program_that_hangs_is_ended_and_reported():
    text = "import sys, time; sys.stdin.buffer.read(); time.sleep(60)"
    with pytest.raises(DeviceError, match="cannot play: it hangs"):
        PipePlayer(program(text), stuck_s=0.2).play(SOUND)
