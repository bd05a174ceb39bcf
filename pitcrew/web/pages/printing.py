"""Print: the handoff sheet as PDF or as a page to print. Looking costs nothing; making one is
recorded."""

from flask import (
    Blueprint,
    Response,
    current_app,
    flash,
    make_response,
    redirect,
    render_template,
    request,
    url_for,
)
from flask.typing import ResponseReturnValue

from pitcrew.domain.logbook.facts import Fact
from pitcrew.sheets.handoff import AUDIENCES, HandoffFacts, handoff_facts, handoff_html
from pitcrew.sheets.lowering import lowering_html
from pitcrew.sheets.pdf import NoPrinter, render_pdf
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.request_context import author, looking, the_pit
from pitcrew.web.screen import Screen
from pitcrew.web.shell import asset

blueprint = Blueprint("print", __name__, url_prefix="/print")
SCREEN = Screen("print", menu="Print", place=8)
MADE_SHOWN = 8


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """Which sheet, for whom, and those made before."""
    with the_pit().reading() as state:
        made: list[Fact] = list(reversed(state.handoffs[-MADE_SHOWN:]))
    titles = {name: audience.title for name, audience in AUDIENCES.items()}
    return render_template("print/print.html", titles=titles, made=made)


@blueprint.route("/handoff", methods=["GET", "POST"])
@needs(*MEMBERS)
def handoff() -> ResponseReturnValue:
    """The sheet as a page for the browser to print; posted, it counts as made."""
    facts = _facts()
    answer = make_response(_html(facts, asset("css/sheet.css")))
    _note(facts)
    return answer


@blueprint.route("/handoff.pdf", methods=["GET", "POST"])
@needs(*MEMBERS)
def handoff_pdf() -> ResponseReturnValue:
    """The sheet as PDF; posted, it counts as made. Where this laptop cannot make one, the page
    offers the print view."""
    facts = _facts()
    try:
        content = render_pdf(_html(facts))
    except NoPrinter as error:
        flash(error.sentence, "error")
        return redirect(url_for("print.page"))
    _note(facts)
    name = {"Content-Disposition": f'inline; filename="handoff-{facts.audience}.pdf"'}
    return Response(content, mimetype="application/pdf", headers=name)


@blueprint.get("/lowering.pdf")
@needs(*MEMBERS)
def lowering_pdf() -> ResponseReturnValue:
    """The lowering card as PDF."""
    the_pit().reload()
    with looking() as view:
        html = lowering_html(view, environment=current_app.jinja_env)
    try:
        content = render_pdf(html)
    except NoPrinter as error:
        flash(error.sentence, "error")
        return redirect(url_for("climb.lowering"))
    return Response(
        content,
        mimetype="application/pdf",
        headers={"Content-Disposition": 'inline; filename="lowering-card.pdf"'},
    )


def _facts() -> HandoffFacts:
    the_pit().reload()
    with looking() as view:
        return handoff_facts(view, request.values.get("audience", "shift"))


def _html(facts: HandoffFacts, stylesheet: str = "") -> str:
    return handoff_html(facts, stylesheet, current_app.jinja_env)


def _note(facts: HandoffFacts) -> None:
    """Record that the sheet was made, so that the next one says what happened since."""
    if request.method == "POST":
        the_pit().record("handoff", {"audience": facts.audience, "head": facts.head}, author())
