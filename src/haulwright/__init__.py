"""Haulwright: measure, model, plan and publish winch recovery."""
