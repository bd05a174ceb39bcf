"""A second laptop as a copy: it hands its own entries to the hub and takes the hub's, by the
exchange that phones use.

Only the hub hands out numbers. What comes from it is kept with the hub's number and seal
(`origin`), so a clearance signed there is shown here as history and never counts here. Each round
is harmless to repeat, and the hub may be away for days.
"""

import threading
from collections.abc import Callable
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from pitcrew.base.clock import format_instant
from pitcrew.base.errors import PitcrewError
from pitcrew.exchange.hub import PATIENCE, why_away
from pitcrew.exchange.hubphotos import HubPhotos
from pitcrew.pit.intake import Author
from pitcrew.pit.pit import Pit
from pitcrew.pit.relay import relayed
from pitcrew.pit.roster import read_secret, write_secret

HUB = Author("hub", "hub", "lead")
OFFER = 100
EVERY = 10.0
"""Seconds after which the hub is asked what is new there."""
LOOK = 0.5
"""Seconds between two looks for what is new here: it goes over at once."""
AT_ONCE = 0.1
Post = Callable[[dict[str, Any]], tuple[int, dict[str, Any]]]
"""Sends one exchange to the hub; its status and answer. Raises OSError where the hub is away."""


@dataclass(frozen=True)
class SyncPoint:
    """How far both sides are: the hub's log, its last record that is here, the seal before that,
    and our last that is there."""

    log: str | None = None
    tail: dict[str, Any] = field(default_factory=dict)
    previous: str = ""
    given: int = 0
    refused: int = 0


@dataclass(frozen=True)
class Round:
    """What one exchange with the hub did; `sentence` is for the terminal."""

    place: SyncPoint
    done: bool
    sentence: str = ""


def exchange_round(pit: Pit, place: SyncPoint, post: Post) -> Round:
    """One request: own entries go, the hub's come. The place is to be kept only after this returns.
    Raises OSError."""
    scanned = pit.journal.after(place.given, OFFER)
    items = [
        relayed(record, pit.journal.log) for record in scanned if _is_for_the_hub(record, place)
    ]
    status, answer = post(_request(pit, place, items))
    if status == 409:
        scanned = []
        status, answer = post(
            _request(pit, place, []) | {"proof": place.tail, "previous": place.previous}
        )
    if status != 200:
        return Round(
            place, True, f"The hub answered {status}: {answer.get('error', 'no reason given')}"
        )
    if place.log not in (None, answer["log"]):
        return Round(
            SyncPoint(log=answer["log"]),
            False,
            "The hub keeps another log now: everything is offered to it again.",
        )
    records = answer["entries"]
    pit.take([relayed(record, answer["log"]) for record in records], HUB, None)
    given = scanned[-1]["seq"] if scanned else place.given
    seen = [place.tail, *records] if place.tail else records
    after = replace(
        place,
        log=answer["log"],
        tail=seen[-1] if seen else {},
        previous=seen[-2]["seal"] if len(seen) > 1 else place.previous,
        given=given,
        refused=place.refused + len(answer["refused"]),
    )
    return Round(after, not answer["more"] and given >= pit.journal.head()[0])


def _is_for_the_hub(record: dict[str, Any], place: SyncPoint) -> bool:
    """Whether the hub may lack a record: it is not from there, and not about the files of this
    laptop."""
    came_from = record["origin"]["log"] if "origin" in record else ""
    return record["kind"] != "definitions" and came_from != place.log


def _request(pit: Pit, place: SyncPoint, items: list[dict[str, Any]]) -> dict[str, Any]:
    tail = place.tail
    return {
        "log": place.log,
        "after": tail.get("seq", 0),
        "seal": tail.get("seal"),
        "sent_at": format_instant(pit.clock()),
        "entries": items,
    }


class Follower:
    """Exchanges with the hub in the background, from where the last run stopped. `say` is called
    when something changes."""

    def __init__(
        self, pit: Pit, post: Post, say: Callable[[str], None], photos: HubPhotos | None = None
    ) -> None:
        self._pit, self._post, self._say, self._photos = pit, post, say, photos
        self._path = pit.folder / "secrets" / "hub.json"
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="hub", daemon=True)
        self._said = ""

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def close(self) -> None:
        """Stop after the round that is under way."""
        self._stop.set()
        self._thread.join(PATIENCE)

    def once(self) -> str:
        """Exchange until both sides have everything; what there is to say."""
        place = self._place()
        while True:
            done = exchange_round(self._pit, place, self._post)
            if done.place != place:
                write_secret(self._path, asdict(done.place))
            place = done.place
            if done.done:
                entry = place.tail.get("seq", 0)
                return (
                    done.sentence
                    or f"In step with the hub at entry {entry};"
                    f" {place.refused} of ours refused there."
                )

    def _place(self) -> SyncPoint:
        return SyncPoint(**read_secret(self._path, {}))

    def turn(self) -> tuple[str, bool]:
        """Exchange, then move one part of a photo: what there is to say, and whether to go on at
        once."""
        try:
            said = self.once()
            return said, self._photos is not None and self._photos.step(self._place().log)
        except (OSError, ValueError) as error:
            return (
                (
                    f"The hub does not answer ({why_away(error)}); what is made here goes over when"
                    " it does."
                ),
                False,
            )
        except PitcrewError as error:
            return error.sentence, False

    def _run(self) -> None:
        self._stop.wait(AT_ONCE)
        while not self._stop.is_set():
            here, go_on = self._here(), True
            while go_on:
                said, more = self.turn()
                if said != self._said:
                    self._say(said)
                self._said = said
                go_on = more and not self._stop.wait(AT_ONCE)
            self._wait_for_more_than(here)

    def _here(self) -> tuple[int, list[str]]:
        """What this laptop holds: its last number and its photos."""
        return self._pit.journal.head()[0], self._photos.here() if self._photos else []

    def _wait_for_more_than(self, held: tuple[int, list[str]]) -> None:
        for _ in range(round(EVERY / LOOK)):
            if self._stop.wait(LOOK) or self._here() != held:
                return
