"""Verification of the solver against closed forms, manufactured solutions and another code."""
