"""The five points of body condition, in words; their drawings are in a template.

Source: five-point visual scale, 1 thin, 3 ideal, 5 over-fed (Clinical Guide to Fish Medicine);
what to look at is common practice.
"""

# Number, word, what to look at.
CONDITIONS = (
    (1, "thin", "a ridge of bone along the back, hollow behind the eyes, tail base thin"),
    (2, "lean", "the back falls off beside the ridge, a little hollow behind the eyes"),
    (3, "ideal", "the back is even, the tail base round with muscle"),
    (4, "plump", "the back is domed, the tail base broad"),
    (5, "over-fed", "the back is humped, folds at the tail base and beside the eyes"),
)
