"""A log of every opening of the charging valve, for judging a method afterwards."""

from companion.shell.rig.spec import Opening

WATCH_S = 30.0
"""How long after the valve is shut a rise still counts as this opening's [s]."""


class _Entry:
    """One opening being filled in; plain fields, for it is touched every step."""

    __slots__ = ("end_s", "fed_kg", "peak_psig", "start_psig", "start_s", "wettest")

    def __init__(self, start_s: float, start_psig: float) -> None:
        self.start_s = start_s
        self.end_s: float | None = None
        self.start_psig = start_psig
        self.peak_psig = start_psig
        self.fed_kg = 0.0
        self.wettest = 0.0

    def freeze(self) -> Opening:
        return Opening(
            start_s=self.start_s,
            end_s=self.end_s,
            start_psig=self.start_psig,
            peak_rise_psi=self.peak_psig - self.start_psig,
            fed_kg=self.fed_kg,
            wettest=self.wettest,
        )


class OpeningLog:
    """Openings in order; the last may still be open or still be watched."""

    def __init__(self) -> None:
        self._entries: list[_Entry] = []

    @property
    def openings(self) -> tuple[Opening, ...]:
        """Every opening so far."""
        return tuple(entry.freeze() for entry in self._entries)

    def turned(self, now_s: float, suction_psig: float, *, is_open: bool) -> None:
        """Note that the valve was cracked open or shut."""
        if is_open:
            self._entries.append(_Entry(now_s, suction_psig))
        elif self._entries:
            self._entries[-1].end_s = now_s

    def seen(
        self, now_s: float, suction_psig: float, drawn_kg: float, wetness: float
    ) -> None:
        """Note one step's gauge reading, draw from the cylinder and wetness."""
        if not self._entries:
            return
        entry = self._entries[-1]
        if entry.end_s is None:
            entry.fed_kg += drawn_kg
        elif now_s > entry.end_s + WATCH_S:
            return
        entry.peak_psig = max(entry.peak_psig, suction_psig)
        entry.wettest = max(entry.wettest, wetness)
