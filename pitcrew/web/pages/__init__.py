"""One blueprint a screen."""

from pitcrew.web.pages import (
    batteries,
    climb,
    faults,
    hand_in,
    help,
    join,
    mistakes,
    now,
    parts,
    patterns,
    people,
    photos,
    pins,
    printing,
    readings,
    robot_logs,
    schedule,
    signing,
    starts,
    temporary,
    verify,
    walk,
    witness,
)

BLUEPRINTS = tuple(page.blueprint for page in (
    join, now, walk, faults, temporary, parts, readings, climb, batteries, robot_logs, schedule, starts, patterns, printing, people,
    mistakes, verify, photos, hand_in, help, signing, pins,
    witness,
))
