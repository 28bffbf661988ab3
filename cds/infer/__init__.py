"""Inference: rules over criteria, findings over findings, by the plain meaning and by durable-rules, compared."""
