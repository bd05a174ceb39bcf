"""The climb: approved definitions, the hold chain, clearance, audit, report."""
