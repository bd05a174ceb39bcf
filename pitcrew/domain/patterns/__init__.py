"""Patterns: what the history says, and how sure that is. Free functions over one `Record`; each
number carries its counts."""
