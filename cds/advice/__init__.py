"""From verdicts to what a nurse, a charting system and a committee read: status, words, reasons, provenance."""
