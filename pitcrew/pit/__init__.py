"""The pit folder and its doors: record, roster, files, copies."""
