"""Checklists, limits and how they are made, the judging of readings, definitions, schemas."""
