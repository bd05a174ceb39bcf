"""One blueprint a screen."""
