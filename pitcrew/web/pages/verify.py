"""Verify: whether the logbook holds, and whether the head of a printed sheet is in it."""

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput
from pitcrew.base.seal import head_text
from pitcrew.pit.verify import Verification, verify_folder
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.forms import HeadForm
from pitcrew.web.request_context import the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("verify", __name__, url_prefix="/verify")
SCREEN = Screen("verify")


@blueprint.route("", methods=["GET", "POST"])
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """Check every seal from the first entry on, and the head that was typed."""
    form = HeadForm()
    report: Verification | None = None
    if form.validate_on_submit():
        try:
            report = verify_folder(the_pit().folder, form.head.data)
        except BadInput as error:
            form.head.errors = [*form.head.errors, error.sentence]
    head = head_text(*the_pit().journal.head())
    status = 400 if request.method == "POST" and report is None else 200
    return render_template("verify/verify.html", form=form, report=report, head=head), status
