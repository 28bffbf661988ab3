"""From an entry to verdicts: derived values, then each criterion met, not met or cannot tell."""
