"""Trials: from the logs of two load cells to the advantage reached and the friction of every device."""
