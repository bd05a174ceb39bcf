"""One blueprint a screen."""

from pitcrew.web.pages import (
    batteries,
    climb,
    faults,
    join,
    mistakes,
    now,
    parts,
    patterns,
    people,
    photos,
    printing,
    readings,
    schedule,
    temporary,
    verify,
    walk,
)

BLUEPRINTS = tuple(page.blueprint for page in (
    join, now, walk, faults, temporary, parts, readings, climb, batteries, schedule, patterns, printing, people, mistakes, verify, photos,
))
