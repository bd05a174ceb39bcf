"""Hand in: the file of a phone that has no link to the laptop."""

from flask import Blueprint, render_template, request
from flask.typing import ResponseReturnValue

from pitcrew.base.errors import BadInput
from pitcrew.web.access import MEMBERS, needs
from pitcrew.web.forms import FileForm
from pitcrew.web.receiving import handed_in
from pitcrew.web.request_context import author, the_pit
from pitcrew.web.screen import Screen

blueprint = Blueprint("hand_in", __name__)
SCREEN = Screen("hand-in")


@blueprint.route("/hand-in", methods=["GET", "POST"])
@needs(*MEMBERS)
def page() -> ResponseReturnValue:
    """Ask for the file of a phone; then say what it brought, with the receipt to type on the
    phone."""
    form, done, status = FileForm(), None, 200
    if request.method == "POST":
        status = 400
        if form.validate_on_submit():
            try:
                done, status = handed_in(the_pit(), form.file.data.read(), author()), 200
            except BadInput as error:
                form.file.errors = [error.sentence]
    return render_template("hand_in/hand_in.html", form=form, done=done), status
