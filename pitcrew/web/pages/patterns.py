"""Patterns: what comes back, how sure that is, which fix held, what will reach its limit when, what
to carry."""

from collections.abc import Callable
from typing import Any

from flask import (
    Blueprint,
    Response,
    current_app,
    flash,
    redirect,
    render_template,
    request,
    url_for,
)
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput
from pitcrew.domain.patterns.betterment import betterment
from pitcrew.domain.patterns.checkyield import checkworth, uncovered
from pitcrew.domain.patterns.compare import sides
from pitcrew.domain.patterns.drilldown import WHAT, Narrowing, behind
from pitcrew.domain.patterns.exposure import MEANINGS, exposure_of
from pitcrew.domain.patterns.fixes import comparisons, holdings
from pitcrew.domain.patterns.frequency import FEW
from pitcrew.domain.patterns.memory import Memory
from pitcrew.domain.patterns.ranking import BY, ranking
from pitcrew.domain.patterns.record import Record, Scope
from pitcrew.domain.patterns.repeats import decisions, suggestions
from pitcrew.domain.patterns.rereading import rereadings
from pitcrew.domain.patterns.stock import AHEAD, carry, spans
from pitcrew.domain.patterns.together import together
from pitcrew.domain.patterns.wear import FALSE_ALARMS, wear
from pitcrew.pit.export import TEXTS, export_text
from pitcrew.sheets.pdf import NoPrinter, render_pdf
from pitcrew.sheets.season import season_facts, season_html
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.request_context import author, the_pit
from pitcrew.web.screen import Screen
from pitcrew.web.shell import asset

blueprint = Blueprint("patterns", __name__, url_prefix="/patterns")
SCREEN = Screen("patterns", menu="Patterns", place=7)
MOST_LINES, MOST_CHARTS = 200, 6
PAGES = (
    ("page", "What fails"),
    ("again", "What comes back"),
    ("limits", "What wears"),
    ("stocks", "What to carry"),
    ("checks", "Which checks"),
    ("compared", "Compare"),
)


def asked_scope() -> Scope:
    """What the address asks to look at."""
    return Scope(
        **{name: request.args.get(name, "")[:120] for name in ("event", "season", "robot", "part")}
    )


def memory() -> Memory:
    """What this server remembers of the last head."""
    return current_app.extensions["patterns"]


def show(template: str, view: Callable[[Record, Scope], dict[str, Any]]) -> str:
    """A page of the patterns: its own values from `view`, and what is on each of them. Drawn
    when no one is held up any more."""
    scope = asked_scope()
    with memory().looking(the_pit()) as record:
        matches = exposure_of(record, scope).amount
        choices = {
            "events": record.events,
            "seasons": record.seasons,
            "robots": record.robots,
            "parts": record.parts_by_subsystem,
        }
        values = view(record, scope)
    shared = {
        "scope": scope,
        "matches": int(matches),
        "few": matches < FEW,
        "pages": PAGES,
        "meanings": MEANINGS,
        "choices": choices,
        "fault_at": url_for("faults.one", fault_id="-")[:-1],
        "reading_at": url_for("readings.one", reading_id="-")[:-1],
    }
    return render_template(template, **shared, **values, address=_address(scope))


def _address(scope: Scope) -> dict[str, Any]:
    """The filters that are set, for links."""
    return {name: value for name, value in vars(scope).items() if value}


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """Faults by subsystem, part or symptom, and whether it is getting better."""
    by = request.args.get("by", "part")
    by = by if by in BY else "part"
    return show(
        "patterns/patterns.html",
        lambda record, scope: {
            "by": by,
            "ways": BY,
            "ranked": ranking(record, scope, by),
            "better": betterment(record, scope),
        },
    )


@blueprint.get("/again")
@needs(*MEMBERS)
def again() -> ResponseReturnValue:
    """Repeats, words that may mean the same, and whether fixes held."""
    return show(
        "patterns/again.html",
        lambda record, scope: {
            "together": together(record, scope),
            "suggestions": suggestions(record, scope),
            "decisions": decisions(record, scope),
            "holdings": holdings(record, scope),
            "comparisons": comparisons(record, scope),
        },
    )


@blueprint.post("/same")
@needs(*MEMBERS)
def same() -> ResponseReturnValue:
    """Whether two faults, worded differently, are the same failure: kept as an entry."""
    first, second, answer = (request.form.get(name, "") for name in ("first", "second", "same"))
    with the_pit().reading() as state:
        found = [state.faults.get(name) for name in (first, second)]
    if (
        not found[0]
        or not found[1]
        or found[0].part != found[1].part
        or answer not in ("yes", "no")
    ):
        raise BadInput(
            "Two faults of one part and yes or no are wanted. Reload the page and choose again."
        )
    the_pit().record("merge", {"first": first, "second": second, "same": answer == "yes"}, author())
    flash(
        "Kept: they count as the same from now on." if answer == "yes" else "Kept: they stay apart."
    )
    return redirect(url_for("patterns.again", **_address(asked_scope())))


@blueprint.get("/limits")
@needs(*MEMBERS)
def limits() -> ResponseReturnValue:
    """What reaches its limit when."""
    return show(
        "patterns/limits.html",
        lambda record, scope: {
            "wears": wear(record, Scope(part=scope.part)),
            "most": MOST_CHARTS,
            "false_alarms": FALSE_ALARMS,
            "rereadings": rereadings(record),
        },
    )


@blueprint.get("/stocks")
@needs(*MEMBERS)
def stocks() -> ResponseReturnValue:
    """Expected faults, spares, and the cost of leaving what comes back."""
    ahead = request.args.get("ahead", AHEAD, type=int)
    return show(
        "patterns/stocks.html",
        lambda record, scope: {"carry": carry(record, scope, ahead), "spans": spans(record)},
    )


@blueprint.get("/checks")
@needs(*MEMBERS)
def checks() -> ResponseReturnValue:
    """Which checks earn their minutes."""
    return show(
        "patterns/checks.html",
        lambda record, scope: {
            "worths": checkworth(record, scope),
            "uncovered": uncovered(record, scope),
        },
    )


@blueprint.get("/compared")
@needs(*MEMBERS)
def compared() -> ResponseReturnValue:
    """Events, seasons and robots side by side."""
    return show("patterns/compared.html", lambda record, scope: {"sides": sides(record, scope)})


@blueprint.get("/entries")
@needs(*MEMBERS)
def entries() -> ResponseReturnValue:
    """The entries behind a number."""
    asked = Narrowing(
        **{name: request.args.get(name, "")[:200] for name in ("check", "verdict", "symptom")}
    )
    what = request.args.get("what") or "faults"

    def view(record: Record, scope: Scope) -> dict[str, Any]:
        lines, total = behind(record, scope, what, asked, MOST_LINES)
        return {"lines": lines, "total": total, "title": WHAT[what].title, "asked": asked}

    return show("patterns/entries.html", view)


@blueprint.get("/season")
@needs(*MEMBERS)
def season() -> ResponseReturnValue:
    """The season report as a page for the browser to print."""
    return _season_page(asset("css/sheet.css"))


@blueprint.get("/season.pdf")
@needs(*MEMBERS)
def season_pdf() -> ResponseReturnValue:
    """The season report as PDF. Where this laptop cannot make one, the page offers the print
    view."""
    try:
        content = render_pdf(_season_page())
    except NoPrinter as error:
        flash(error.sentence, "error")
        return redirect(url_for("patterns.page"))
    return Response(
        content,
        mimetype="application/pdf",
        headers={"Content-Disposition": 'inline; filename="season.pdf"'},
    )


def _season_page(stylesheet: str = "") -> str:
    with memory().looking(the_pit()) as record:
        facts = season_facts(record, asked_scope())
    return season_html(facts, stylesheet, current_app.jinja_env)


@blueprint.get("/entries.csv", defaults={"name": "entries.csv"})
@blueprint.get("/entries.jsonl", defaults={"name": "entries.jsonl"})
@blueprint.get("/entries.dictionary.md", defaults={"name": "entries.dictionary.md"})
@needs(*MEMBERS)
def export(name: str) -> ResponseReturnValue:
    """The entries as CSV or JSON Lines, or the dictionary that says what their columns mean."""
    with the_pit().reading() as state:
        still = state.still()
    return Response(
        export_text(name, still),
        mimetype=TEXTS[name],
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
