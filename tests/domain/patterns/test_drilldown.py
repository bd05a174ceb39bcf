"""The entries behind a number: those that were asked for, and no others."""

from datetime import timedelta

import pytest

from pitcrew.domain.patterns.drilldown import Narrowing, behind
from pitcrew.domain.patterns.record import Record
from tests.domain.patterns.season import ALL, Season


@pytest.mark.parametrize(
    ("asked", "matches"),
    [
        (Narrowing(), {"1", "2", "3", "4"}),
        (Narrowing(symptom="worn"), {"2", "4"}),
        (Narrowing(verdict="stop"), {"3", "4"}),
        (Narrowing(symptom="worn", verdict="stop"), {"4"}),
        (Narrowing(symptom="bent"), set()),
    ],
)
def test_faults_are_those_of_the_symptom_and_the_grade(asked: Narrowing, matches: set[str]) -> None:
    season = Season(6)
    for number, (symptom, grade) in enumerate(
        [("loose", "degraded"), ("worn", "degraded"), ("loose", "stop"), ("worn", "stop")], 1
    ):
        season.broke(number, symptom, grade=grade)
    record = Record(season.definitions, season.state(), season.end + timedelta(days=1))
    faults = {fault.id: fault for fault in record.faults_in(ALL)}
    lines, count = behind(record, ALL, "faults", asked, 100)
    assert count == len(lines) == len(matches)
    assert {faults[line.id].match.split("/")[1] for line in lines} == matches
