"""Signing for a climb: the captain's signature or refusal, and the second name, each with their own
PIN."""

from flask import Blueprint, abort, flash, redirect, url_for
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput, Refused
from pitcrew.domain.climb.clearance import arrived_since, second_names_wanted
from pitcrew.domain.climb.missing import missing_for_climb
from pitcrew.domain.climb.proposals import definitions_wanted
from pitcrew.domain.climb.rules import RULES
from pitcrew.domain.logbook.moment import Moment
from pitcrew.web.access import CAPTAINS, DECIDERS, needs
from pitcrew.web.pages.climb import show
from pitcrew.web.pinning import pin_fits, refuse_open_pins
from pitcrew.web.request_context import author, device, looking, the_pit
from pitcrew.web.sign_forms import RefuseForm, SecondNameForm, SignForm

blueprint = Blueprint("signing", __name__, url_prefix="/climb")
DECISIONS = ("approved", "refused")


@blueprint.post("/sign")
@needs(*CAPTAINS)
def sign() -> ResponseReturnValue:
    """Clear the climb, bound to the last entry that the screen showed; nothing may be missing,
    nothing may have come since."""
    refuse_open_pins()
    form = SignForm(prefix="sign-")
    if not form.validate_on_submit():
        return show({"sign": form}, status=400)
    pit = the_pit()
    pit.reload()
    with looking() as view:
        moment = view.moment
        if form.seen_seq.data > view.head:
            raise BadInput(
                f"Entry {form.seen_seq.data} is not in this logbook. Open the Climb page again.",
                "seen_seq",
            )
        arrived, missing = (
            arrived_since(moment, form.seen_seq.data),
            missing_for_climb(moment, form.seen_seq.data),
        )
    if arrived:
        return show({"sign": form}, tuple(arrived), 409)
    if missing:
        form.pin.errors = [
            *form.pin.errors,
            f"Not signed: {len(missing)} things are missing. {missing[0].text}",
        ]
        return show({"sign": form}, status=409)
    if not pin_fits(form):
        return show({"sign": form}, status=403)
    _record(moment, {"decision": "cleared", "seen_seq": form.seen_seq.data, "rules": RULES})
    flash(
        "Signed. Whatever is written on a climb-critical part from now on ends it, except a reading"
        " that is ok."
    )
    return redirect(url_for("climb.page", _anchor="top"))


@blueprint.post("/refuse")
@needs(*CAPTAINS)
def refuse() -> ResponseReturnValue:
    """Refuse the climb, with the reason."""
    refuse_open_pins()
    form = RefuseForm(prefix="refuse-")
    if not form.validate_on_submit():
        return show({"refuse": form}, status=400)
    if not pin_fits(form):
        return show({"refuse": form}, status=403)
    with looking() as view:
        moment = view.moment
    _record(moment, {"decision": "refused", "seen_seq": form.seen_seq.data, "why": form.why.data})
    flash("The climb is refused.")
    return redirect(url_for("climb.page", _anchor="top"))


@blueprint.post("/second/<decision>")
@needs(*DECIDERS)
def second(decision: str) -> ResponseReturnValue:
    """Give the second name to what waits for it, or refuse it."""
    if decision not in DECISIONS:
        abort(404)
    refuse_open_pins()
    form = SecondNameForm(prefix="second-")
    if not form.validate_on_submit():
        return show({"second": form}, status=400)
    with looking() as view:
        moment = view.moment
        waiting = {
            item.of: item for item in (*second_names_wanted(moment), *definitions_wanted(moment))
        }
    if form.of.data not in waiting:
        raise Refused("This waits for no second name any more. Reload the page.")
    if device().person in (waiting[form.of.data].decided_by, *waiting[form.of.data].given):
        raise Refused("Your name stands to this already; another person gives the second one.")
    if not pin_fits(form):
        return show({"second": form}, status=403)
    the_pit().record(
        "approval", {"of": form.of.data, "decision": decision, "role": author().role}, author()
    )
    flash("Your name stands to it." if decision == "approved" else "Refused: it does not count.")
    return redirect(url_for("climb.page", _anchor="top"))


def _record(moment: Moment, body: dict[str, object]) -> None:
    the_pit().record("clearance", body, author(), match=moment.run.id if moment.run else None)
