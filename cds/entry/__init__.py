"""From what the charting system sends to an exact Entry, or a refusal that names every fault."""
