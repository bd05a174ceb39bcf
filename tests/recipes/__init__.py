"""What each recipe of DEVELOPERS.md adds, and how it is tried. See tests/test_recipes.py."""
