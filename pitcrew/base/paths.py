"""Where templates/, static/ and checklists/ lie: beside the package (the install is editable)."""

from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
TEMPLATES = ROOT / "templates"
STATIC = ROOT / "static"
CHECKLISTS = ROOT / "checklists"
