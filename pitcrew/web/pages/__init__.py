"""One blueprint a screen."""

from pitcrew.web.pages import join

BLUEPRINTS = (join.blueprint,)
