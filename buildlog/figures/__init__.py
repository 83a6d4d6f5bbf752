"""Figures: everything that is computed, as pure functions."""
