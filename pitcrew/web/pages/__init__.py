"""The pages, a file each. A new file here is a new page: its `blueprint` holds the views, its
`SCREEN` says how menu, phones and tests find it. Nothing else names it.

A module without a `SCREEN` has no screen of its own: views that belong to another one.
"""

from importlib import import_module
from pkgutil import iter_modules

from flask import Blueprint

from pitcrew.web.screen import Screen

_MODULES = [
    import_module(f"{__name__}.{name}")
    for name in sorted(module.name for module in iter_modules(__path__))
]
BLUEPRINTS: tuple[Blueprint, ...] = tuple(module.blueprint for module in _MODULES)
SCREENS: tuple[Screen, ...] = tuple(
    module.SCREEN for module in _MODULES if hasattr(module, "SCREEN")
)
