"""Mean, scatter and limits of break loads that are known only to lie in intervals."""
