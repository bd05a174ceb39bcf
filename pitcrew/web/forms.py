"""The forms of the pages (Flask-WTF): labels are what a person reads, messages say what to do."""

from flask_wtf import FlaskForm
from wtforms import StringField
from wtforms.validators import InputRequired, Length


class JoinForm(FlaskForm):
    """Join a pit."""

    code = StringField("Join code", [InputRequired("Type the code that the pit lead shows."), Length(max=20)])
    name = StringField("Your name", [InputRequired("Type your name, so that the crew knows who measured."), Length(max=40)])
