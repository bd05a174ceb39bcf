"""Climb: whether the climb is cleared, what voided it, what is missing, the hold path, and every
climb-critical fact on one screen."""

from collections.abc import Mapping
from typing import Any

from flask import Blueprint, render_template
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm

from pitcrew.base.entries import Entry
from pitcrew.domain.climb.clearance import past_clearances
from pitcrew.domain.climb.lowering import lowering_now
from pitcrew.domain.now.view import PitView
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.climb_facts import climb_facts
from pitcrew.web.drawings import draw_lowering, draw_path
from pitcrew.web.pinning import pin_may_travel
from pitcrew.web.request_context import device, looking, the_pit
from pitcrew.web.screen import Screen
from pitcrew.web.sign_forms import RefuseForm, SecondNameForm, SignForm

blueprint = Blueprint("climb", __name__, url_prefix="/climb")


@blueprint.get("")
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """The facts, for everyone to read; for the captain also the signature."""
    definitions = the_pit().reload()
    path = definitions.robot.hold_path if definitions.robot else None
    if not definitions.settings["climb_planned"] and path is None:
        with looking() as view:
            signatures = len(view.state.clearances)
        return render_template("climb/never.html", signatures=signatures)
    return show()


@blueprint.get("/lowering")
@needs(*MEMBERS)
def lowering() -> ResponseReturnValue:
    """The lowering card: how a hanging robot comes down unpowered."""
    the_pit().reload()
    with looking() as view:
        card = lowering_now(view.moment)
    return render_template("climb/lowering.html", card=card)


@blueprint.get("/signatures")
@needs(*MEMBERS)
def signatures() -> ResponseReturnValue:
    """Every decision of the captain and how it ended."""
    the_pit().reload()
    with looking() as view:
        past = past_clearances(view.moment)
    return render_template("climb/signatures.html", past=past)


def show(
    forms: Mapping[str, FlaskForm] | None = None, arrived: tuple[Entry, ...] = (), status: int = 200
) -> ResponseReturnValue:
    """The page; `forms` are those that came back with something wrong, `arrived` is what came while
    the captain looked."""
    pit = the_pit()
    definitions = pit.reload()
    with looking() as view:
        facts = climb_facts(view)
    ready = {
        "sign": SignForm(prefix="sign-"),
        "refuse": RefuseForm(prefix="refuse-"),
        "second": SecondNameForm(prefix="second-"),
    }
    tried: dict[str, Any] = ready | dict(forms or {})
    for name in ("sign", "refuse"):
        tried[name].seen_seq.data = facts.head
        tried[name].seen_seq.raw_data = None
    return (
        render_template(
            "climb/climb.html",
            facts=facts,
            robot=definitions.robot,
            forms=tried,
            tried=forms or {},
            arrived=arrived,
            pin_safe=pin_may_travel(),
            has_pin=pit.pins.has(device().person),
        ),
        status,
    )


def _for_phones(view: PitView) -> dict[str, Any]:
    """The facts to be read only, the picture of the hold path, and the lowering card."""
    facts = climb_facts(view)
    return {
        "pieces": {"climb": render_template("climb/alone.html", facts=facts)},
        "path": draw_path(facts.picture),
        "lowering": draw_lowering(lowering_now(view.moment)),
    }


SCREEN = Screen("climb", menu="Climb", place=4, alone="offline/climb", snapshot=_for_phones)
