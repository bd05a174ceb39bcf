"""The sentence of a judgement, from its key and numbers: whatever else is to say it, in other words
or another language, starts from the same."""

import re

from pitcrew.base.kinds.kind import Said
from pitcrew.domain.checks.limitshape import Limit, shown_number, shown_quantity
from pitcrew.domain.checks.noresult import WORDED

MOST_DECIMALS = 6
WINDOW = re.compile(r" is good \([^()]*\)")
ANSWER, UNJUDGED_WHEN, STOP_WHEN = "answer_", "unjudged_when.", "stop_when."
"""How the keys of an answer and of a comparison begin; a comparison's number in the limit's list
follows. A bound's key is its name, `near_stop_high` for its guard band, or `ok`; the others stand
in WORDED."""


def text_of(limit: Limit, said: Said) -> str:
    """The sentence, with the limit's own templates; numbers in the limit's screen unit.

    Raises KeyError for a key or a number that the limit does not have.
    """
    if said.key in WORDED:
        return WORDED[said.key].format_map(said.words)
    if said.key.startswith(UNJUDGED_WHEN):
        return limit.unjudged_when[int(said.key.removeprefix(UNJUDGED_WHEN))][3]
    if said.key.startswith(STOP_WHEN):
        return limit.stop_when[int(said.key.removeprefix(STOP_WHEN))][3]
    if said.key.startswith(ANSWER):
        template = limit.sentences.get(said.key, "{label}: {answer}.")
        filled = template.replace("{label}", said.words["label"])
        return filled.replace("{answer}", said.words["answer"])
    return _against_bound(limit, said)


def _in_printed(limit: Limit, shown: str) -> bool:
    """Whether a number as it is shown lies within the window as it is printed, whose ends are
    rounded inward: one that is ok by a hair may not."""
    least, most = limit.good or ("", "")
    return not (least and float(shown) < float(least)) and not (most and float(shown) > float(most))


def _against_bound(limit: Limit, said: Said) -> str:
    """Result and bound get as many decimals as it takes to tell them apart; what is good, as many
    as the ends of its window have."""
    result, bound = said.numbers["result"], said.numbers.get("limit")
    decimals = limit.decimals
    if bound is None:
        decimals = max([decimals, *(len(end.partition(".")[2]) for end in limit.good)])
    else:
        most = limit.decimals + MOST_DECIMALS
        while decimals < most and shown_number(limit, result, decimals) == shown_number(
            limit, bound, decimals
        ):
            decimals += 1
    sentence = limit.sentences.get(said.key, "{result}").replace(
        "{result}", shown_quantity(limit, result, decimals)
    )
    if bound is None:
        inside = _in_printed(limit, shown_number(limit, result, decimals))
        return sentence if inside else WINDOW.sub(" is good", sentence, count=1)
    return sentence.replace("{limit}", shown_quantity(limit, bound, decimals))
