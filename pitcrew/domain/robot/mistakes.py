"""What is wrong in the pit folder's files. A mistake never stops the rest from loading, and nothing
is guessed in its place."""

from dataclasses import dataclass, field, replace

LONGEST_FOUND = 60


@dataclass(frozen=True)
class Mistake:
    """One thing in one file that could not be used. `climb`: it is in a file with
    climb-critical parts or checks.

    A `notice` is no mistake: the file was read as it stands, and `shows` is what it had better say,
    as it would be there.
    """

    file: str
    place: str
    found: str
    wanted: str
    nearest: str = ""
    climb: bool = False
    notice: bool = False
    shows: str = ""

    @property
    def sentence(self) -> str:
        """The mistake for a person: where, what is there, what is expected, and the nearest name
        if one is close."""
        near = f" Nearest: {self.nearest}." if self.nearest else ""
        return (
            f"{self.file}, {self.place}: found {self.found}; wanted"
            f" {self.wanted.rstrip('.')}.{near}"
        )

    def row(self) -> str:
        """`file, place, found, wanted, nearest` as one line of text."""
        near = f"nearest: {self.nearest}" if self.nearest else ""
        return ", ".join(
            part
            for part in (self.file, self.place, self.found, self.wanted.rstrip("."), near)
            if part
        )


@dataclass
class Mistakes:
    """Collects the mistakes of one file."""

    file: str
    found: list[Mistake] = field(default_factory=list)

    def add(self, place: str, found: object, wanted: str, nearest: str | None = "") -> None:
        """Note one mistake; the same one twice is kept once, and a nearest name that `wanted` ends
        in is named once."""
        mistake = Mistake(
            self.file,
            place,
            shown(found),
            wanted.removesuffix(f" Nearest: {nearest}."),
            nearest or "",
        )
        if mistake not in self.found:
            self.found.append(mistake)

    def notice(self, place: str, found: object, wanted: str, shows: str = "") -> None:
        """Note something that was read, and that had better be written otherwise."""
        self.found.append(Mistake(self.file, place, shown(found), wanted, notice=True, shows=shows))

    def marked(self, climb: bool) -> list[Mistake]:
        """The mistakes, marked as climb-critical ones if `climb`; a notice never is one."""
        return [
            mistake if mistake.notice else replace(mistake, climb=climb or mistake.climb)
            for mistake in self.found
        ]


def shown(value: object) -> str:
    """A value of a TOML file as a person would recognise it, shortened."""
    if isinstance(value, Words):
        return str(value)
    text = {True: "true", False: "false"}[value] if isinstance(value, bool) else str(value)
    text = f'"{text}"' if isinstance(value, str) else text
    return text if len(text) <= LONGEST_FOUND else text[: LONGEST_FOUND - 1] + "…"


class Words(str):
    """What was found, told in words instead of quoted (`nothing`, `the same id twice`)."""


NOTHING = Words("nothing")
