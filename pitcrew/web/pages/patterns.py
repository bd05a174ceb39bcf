"""Patterns: what comes back, how sure that is, which fix held, what will reach its limit when, what to carry."""

from collections.abc import Callable
from typing import Any

from flask import Blueprint, Response, current_app, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from pitcrew.domain.patterns.behind import Line, behind
from pitcrew.domain.patterns.betterment import betterment
from pitcrew.domain.patterns.checkworth import checkworth, uncovered
from pitcrew.domain.patterns.compare import sides
from pitcrew.domain.patterns.exposure import MEANINGS, exposure_of
from pitcrew.domain.patterns.fixes import comparisons, fixes, holdings
from pitcrew.domain.patterns.frequency import FEW
from pitcrew.domain.patterns.memory import Memory
from pitcrew.domain.patterns.ranking import BY, ranking
from pitcrew.domain.patterns.record import Record, Scope
from pitcrew.domain.patterns.repeats import repeats, suggestions
from pitcrew.domain.patterns.stock import AHEAD, carry
from pitcrew.domain.patterns.wear import wear
from pitcrew.errors import BadInput
from pitcrew.export import TEXTS, export_text
from pitcrew.sheets.pdf import NoPrinter, render_pdf
from pitcrew.sheets.season import season_facts, season_html
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.here import author, the_pit
from pitcrew.web.shell import asset

blueprint = Blueprint("patterns", __name__, url_prefix="/patterns")
MOST_LINES = 200
PAGES = (
    ("page", "What fails"), ("again", "What comes back"), ("limits", "What wears"), ("stocks", "What to carry"),
    ("checks", "Which checks"), ("compared", "Compare"),
)


def asked_scope() -> Scope:
    """What the address asks to look at."""
    return Scope(**{name: request.args.get(name, "")[:120] for name in ("event", "season", "robot", "part")})


def show(template: str, view: Callable[[Memory, Record, Scope], dict[str, Any]]) -> str:
    """A page of the patterns: its own values from `view`, and what stands on each of them."""
    pit = the_pit()
    memory: Memory = current_app.extensions.setdefault("patterns", Memory())
    scope = asked_scope()
    with pit.reading() as state:
        record = memory.record(pit.definitions, state, pit.clock())
        matches = memory.ask(exposure_of, scope).amount
        shared = {"scope": scope, "matches": int(matches), "few": matches < FEW, "record": record, "pages": PAGES, "meanings": MEANINGS}
        return render_template(template, **shared, **view(memory, record, scope), address=_address(scope))


def _address(scope: Scope) -> dict[str, Any]:
    """The filters that are set, for links."""
    return {name: value for name, value in vars(scope).items() if value}


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """Faults by subsystem, part or symptom, and whether it is getting better."""
    by = request.args.get("by", "part")
    by = by if by in BY else "part"
    return show("patterns/patterns.html", lambda memory, record, scope: {
        "by": by, "ways": BY, "ranked": memory.ask(ranking, scope, by), "better": memory.ask(betterment, scope),
    })


@blueprint.get("/again")
@needs(*MEMBERS)
def again() -> ResponseReturnValue:
    """Repeats, words that may mean the same, and whether fixes held."""
    return show("patterns/again.html", lambda memory, record, scope: {
        "repeats": memory.ask(repeats, scope), "suggestions": memory.ask(suggestions, scope),
        "holdings": (held := memory.ask(_held, scope)), "comparisons": memory.ask(_compared, scope) if held else [],
    })


def _held(record: Record, scope: Scope) -> Any:
    return holdings(fixes(record, scope))


def _compared(record: Record, scope: Scope) -> Any:
    return comparisons(_held(record, scope))


@blueprint.post("/same")
@needs(*MEMBERS)
def same() -> ResponseReturnValue:
    """Whether two faults, worded differently, are the same failure: kept as an entry."""
    first, second, answer = (request.form.get(name, "") for name in ("first", "second", "same"))
    with the_pit().reading() as state:
        found = [state.faults.get(name) for name in (first, second)]
    if not found[0] or not found[1] or found[0].part != found[1].part or answer not in ("yes", "no"):
        raise BadInput("Two faults of one part and yes or no are wanted. Reload the page and choose again.")
    the_pit().record("merge", {"first": first, "second": second, "same": answer == "yes"}, author())
    flash("Kept: they count as the same from now on." if answer == "yes" else "Kept: they stay apart.")
    return redirect(url_for("patterns.again", **_address(asked_scope())))


@blueprint.get("/limits")
@needs(*MEMBERS)
def limits() -> ResponseReturnValue:
    """What reaches its limit when."""
    return show("patterns/limits.html", lambda memory, record, scope: {"wears": memory.ask(wear, Scope(part=scope.part))})


@blueprint.get("/stocks")
@needs(*MEMBERS)
def stocks() -> ResponseReturnValue:
    """Expected faults, spares, and the cost of leaving what comes back."""
    ahead = request.args.get("ahead", AHEAD, type=int)
    return show("patterns/stocks.html", lambda memory, record, scope: {"carry": memory.ask(carry, scope, ahead)})


@blueprint.get("/checks")
@needs(*MEMBERS)
def checks() -> ResponseReturnValue:
    """Which checks earn their minutes."""
    return show("patterns/checks.html", lambda memory, record, scope: {
        "worths": memory.ask(checkworth, scope), "uncovered": memory.ask(uncovered, scope),
    })


@blueprint.get("/compared")
@needs(*MEMBERS)
def compared() -> ResponseReturnValue:
    """Events, seasons and robots side by side."""
    return show("patterns/compared.html", lambda memory, record, scope: {"sides": memory.ask(sides, scope)})


@blueprint.get("/entries")
@needs(*MEMBERS)
def entries() -> ResponseReturnValue:
    """The entries behind a number."""
    asked = {name: request.args.get(name, "")[:200] for name in ("what", "check", "verdict", "symptom")}
    asked["what"] = asked["what"] or "faults"

    def view(memory: Memory, record: Record, scope: Scope) -> dict[str, Any]:
        lines: list[Line] = behind(record, scope, **asked)
        return {"lines": lines[:MOST_LINES], "more": max(0, len(lines) - MOST_LINES), "asked": asked}

    return show("patterns/entries.html", view)


@blueprint.get("/season")
@needs(*MEMBERS)
def season() -> ResponseReturnValue:
    """The season report as a page for the browser to print."""
    return _season_page(asset("css/sheet.css"))


@blueprint.get("/season.pdf")
@needs(*MEMBERS)
def season_pdf() -> ResponseReturnValue:
    """The season report as PDF. Where this laptop cannot make one, the page offers the print view."""
    try:
        content = render_pdf(_season_page())
    except NoPrinter as error:
        flash(error.sentence, "error")
        return redirect(url_for("patterns.page"))
    return Response(content, mimetype="application/pdf", headers={"Content-Disposition": 'inline; filename="season.pdf"'})


def _season_page(stylesheet: str = "") -> str:
    pit = the_pit()
    with pit.reading() as state:
        return season_html(season_facts(pit.definitions, state, pit.clock(), asked_scope()), stylesheet)


@blueprint.get("/entries.csv", defaults={"name": "entries.csv"})
@blueprint.get("/entries.jsonl", defaults={"name": "entries.jsonl"})
@blueprint.get("/entries.dictionary.md", defaults={"name": "entries.dictionary.md"})
@needs(*MEMBERS)
def export(name: str) -> ResponseReturnValue:
    """The entries as CSV or JSON Lines, or the dictionary that says what their columns mean."""
    pit = the_pit()
    with pit.reading() as state:
        text = export_text(name, pit.definitions, state)
    return Response(text, mimetype=TEXTS[name], headers={"Content-Disposition": f'attachment; filename="{name}"'})
