"""The climb: approved definitions, the hold path, clearance, audit, report."""
