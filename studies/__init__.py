"""What is done with a joint: files read, a corner built, predicted, shown, compared, broken at the bench."""
