"""Temporary states: open one and undo it, two taps each."""

from typing import Any

from flask import Blueprint, flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import Conflict, Missing
from pitcrew.domain.now.view import PitView
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.choices import part_choices
from pitcrew.web.drawings import draw_temporary_form
from pitcrew.web.forms import TemporaryForm
from pitcrew.web.request_context import author, looking, the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("temporary", __name__, url_prefix="/temporary")
UNDONE_SHOWN = 10


@blueprint.route("", methods=["GET", "POST"])
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """What is not as it should stay, and the form that adds to it."""
    pit = the_pit()
    form = TemporaryForm(
        data=(
            None
            if request.method == "POST"
            else {"part": request.args.get("part", ""), "blocks": True}
        )
    )
    form.part.choices = part_choices()
    with looking() as view:
        run = view.run
        known = sorted(view.state.temporaries.values(), key=lambda item: item.at, reverse=True)
    if form.validate_on_submit():
        pit.record("temporary", form.body(), author(), match=run.id if run else None)
        flash(
            "Recorded. It stays on this list, on Now and on the handoff sheet until it is undone."
        )
        return redirect(url_for("temporary.page"))
    undone = [item for item in known if not item.open][:UNDONE_SHOWN]
    shown = {"form": form, "open": [item for item in known if item.open], "undone": undone}
    return render_template("temporary/temporary.html", **shown), 400 if form.errors else 200


@blueprint.post("/<temporary_id>/undone")
@needs(*MEMBERS)
def undone(temporary_id: str) -> ResponseReturnValue:
    """It is as it should be again."""
    pit = the_pit()
    with looking() as view:
        item, run = view.state.temporaries.get(temporary_id), view.run
    if item is None:
        raise Missing("There is no such temporary state in the logbook. Reload the page.")
    if not item.open:
        raise Conflict(
            f"{item.undone.person if item.undone else 'Somebody'} has undone it already. Nothing"
            " more was recorded."
        )
    pit.record(
        "temporary_undone", {"temporary": temporary_id}, author(), match=run.id if run else None
    )
    flash(f"Recorded as undone: {item.what}.")
    return redirect(url_for("temporary.page"))


def _for_phones(view: PitView) -> dict[str, Any]:
    """The fields for recording one."""
    return {"fixed": draw_temporary_form()}


SCREEN = Screen("temporary", alone="offline/temporary", snapshot=_for_phones)
