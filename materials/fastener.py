"""x"""
from math import sqrt
def johansen_modes(first, second, thickness_one, thickness_two, diameter, moment):
    b = second / first
    t = thickness_two / thickness_one
    push = first * thickness_one * diameter
    return {
        "a": push,
        "b": second * thickness_two * diameter,
        "c": push / (1 + b) * (sqrt(b + 2 * b**2 * (1 + t + t**2) + b**3 * t**2) - b * (1 + t)),
        "d": push / (2 + b) * (sqrt(2 * b * (1 + b) + 4 * b * (2 + b) * moment / (push * thickness_one)) - b),
        "e": push * t / (1 + 2 * b) * (sqrt(2 * b**2 * (1 + b) + 4 * b * (1 + 2 * b) * moment / (push * t * thickness_two)) - b),
        "f": sqrt(2 * b / (1 + b)) * sqrt(2 * moment * first * diameter),
    }
