"""The keys of a checklist file, as tables of fields: they feed the reading, the JSON Schema and the
format's page."""

from pitcrew.base.drawings import DRAWINGS
from pitcrew.domain.robot.hold_path import DEVICES
from pitcrew.domain.robot.tables import Field

INPUT_KINDS = ("number", "choice", "yes_no", "text", "photo")
POWER = ("off", "on", "enabled")
BOUNDS = {
    "stop_low": "below it is stop",
    "watch_low": "below it is watch",
    "watch_high": "above it is watch",
    "stop_high": "above it is stop",
}
QUANTITIES = {
    "mass": "mass",
    "diameter": "length",
    "drop": "length",
    "deflection": "length",
    "free_length": "length",
    "layers": "number",
    "length": "length",
    "ratio": "number",
    "past_center": "length",
    "spacing": "length",
    "lost_motion": "angle",
    "torque": "torque",
    "friction": "number",
}
"""What an input may measure of its part (the mass: of the robot), with its dimension. The hold path
takes the worst of the build sheet and the last reading."""
WITNESSED = ("hold-test", "lowering")
"""How the ids of checks begin that count only once a second person confirms them, unless their file
says otherwise."""
FILE_FIELDS = (
    Field("checklist", "table", "the list itself"),
    Field("check", "tables", "its checks", required=False, default=[]),
)
LIST_FIELDS = (
    Field("name", "id", "short name of the list"),
    Field("label", "text", "the name on screen and paper"),
)
CHECK_FIELDS = (
    Field("id", "id", "short name, used by no other check of any list"),
    Field(
        "part",
        "text",
        "id of the part, with * for any letters; one check is made for each part that fits",
        required=False,
    ),
    Field(
        "kind", "text", "kind of part; one check is made for each part of that kind", required=False
    ),
    Field(
        "where",
        "map",
        'what the part\'s specification must say ("*": something)',
        required=False,
        default={},
    ),
    Field(
        "on_path",
        "yes_no",
        "true: only on parts of the hold path; false: only on the others",
        required=False,
    ),
    Field(
        "holds",
        "texts",
        "only on the part that holds without power, where it is one of these: "
        + ", ".join(DEVICES),
        required=False,
        default=(),
    ),
    Field("label", "text", "the name in lists"),
    Field("ask", "text", "the question on the phone, one short sentence"),
    Field("how", "text", "how to look or measure", required=False, default=""),
    Field("drawing", "words", "name of the drawing", default="look", choices=tuple(DRAWINGS)),
    Field("minutes", "number", "how long it takes one crew", least=0.1, most=240),
    Field("hands", "count", "how many people it takes", default=1, least=1, most=6),
    Field(
        "power",
        "words",
        "power state: off (unplugged, energies released), on, enabled (nobody's hands in)",
        choices=POWER,
    ),
    Field("cautions", "texts", "what to beware of before hands go in", required=False, default=()),
    Field("due", "texts", "when it is due, in the due words"),
    Field(
        "must", "yes_no", "whether the robot may not play without it", required=False, default=False
    ),
    Field(
        "two_names",
        "yes_no",
        "whether a change of it waits for two people, as for all that the climb hangs on",
        required=False,
        default=False,
    ),
    Field(
        "witness",
        "yes_no",
        "whether it counts only once a second person confirms it; true by default for hold tests"
        " and lowering",
        required=False,
    ),
    Field(
        "measures",
        "map",
        "which quantity of the part an input measures: input = quantity",
        required=False,
        default={},
    ),
    Field("input", "tables", "what is asked, in order"),
    Field("limit", "table", "by what it is judged", required=False, default={}),
)
INPUT_FIELDS = (
    Field("name", "id", "short name, used in formulas"),
    Field(
        "label", "text", "the name on screen; the short name where it is left out", required=False
    ),
    Field("kind", "words", "what is answered", choices=INPUT_KINDS),
    Field("unit", "text", "unit of a number", required=False),
    Field("least", "number", "the smallest number that is possible, in the unit", required=False),
    Field("most", "number", "the largest number that is possible, in the unit", required=False),
    Field("options", "map", "answer = verdict, for a choice or yes_no", required=False),
    Field(
        "required",
        "yes_no",
        "whether it must be answered; numbers, choices and yes_no must by default",
        required=False,
    ),
)
LIMIT_FIELDS = (
    Field(
        "result",
        "text",
        "formula over the inputs; the only number input where it is left out",
        required=False,
    ),
    Field("figure", "id", "the calculation that gives the limit", required=False),
    Field(
        "with",
        "map",
        "its parameters: names such as part.X, formulas of them, constants",
        required=False,
        default={},
    ),
    Field(
        "given",
        "map",
        "figures computed first: name = { figure = …, with = … }",
        required=False,
        default={},
    ),
    *(
        Field(name, "any", f"{meaning}: a constant, or a formula", required=False)
        for name, meaning in BOUNDS.items()
    ),
    Field(
        "sanity",
        "words",
        "a bound beyond which only a slip in measuring lies: it is no limit of wear",
        required=False,
        choices=tuple(BOUNDS),
    ),
    Field(
        "unit",
        "text",
        "the unit in which the result is shown; the input's where it is left out",
        required=False,
    ),
    Field("instrument", "id", "what it is measured with", required=False),
    Field(
        "uncertainty",
        "any",
        "how far the result may be off (k = 2), instead of an instrument",
        required=False,
    ),
    Field(
        "watch_guard",
        "text",
        "why a watch bound is guarded by the uncertainty, too; else only stop bounds are",
        required=False,
    ),
    Field(
        "alone",
        "yes_no",
        "true: a number beyond a stop bound is stop, whatever else is answered or still missing",
        required=False,
        default=False,
    ),
    Field(
        "unjudged_when",
        "tables",
        "readings that cannot be compared: { if = …, say = … }",
        required=False,
        default=[],
    ),
    Field(
        "stop_when",
        "tables",
        "readings that are stop whatever the result: { if = …, say = … }",
        required=False,
        default=[],
    ),
    Field(
        "because",
        "text",
        "why this limit, with {names}; the figure's own reason where it is left out",
        required=False,
    ),
    Field(
        "source",
        "text",
        "where the limit comes from; the figure's own where it is left out",
        required=False,
    ),
    Field("say", "map", "what to do, one sentence per verdict", required=False, default={}),
)
