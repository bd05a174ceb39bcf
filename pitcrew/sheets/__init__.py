"""LAW: pages and sheets as paper. Never imports storage; weasyprint is imported in the print
process only."""
