"""pitcrew: what a robot's pit crew checks, decides and hands over between two matches. Imports
nothing."""

__version__ = "0.1.0"
