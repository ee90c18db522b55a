"""Species, strains, animals, their parents, pictures and measurements."""

from django.utils.translation import gettext_lazy as _

from breeding.records.archive.kinds.kind import Kind

KINDS = (
    Kind(
        "animals.Profile",
        "profiles",
        _("A set of figures on reproduction, which one or more species share."),
        {
            "label": "What it is called.",
            "for_hybrids": "Whether it holds for crosses.",
            "for_unknown": "Whether it holds for animals of unknown species.",
        },
    ),
    Kind(
        "animals.ProfileFigure",
        "profile_figures",
        _("One figure of a profile, how well it is known and where it is from."),
        {
            "profile": "The profile it belongs to.",
            "name": "Which figure, with its unit.",
            "value": "The figure.",
        },
    ),
    Kind(
        "animals.Species",
        "species",
        _("A species: its accepted name and its name in the trade."),
        {
            "accepted_name": "The accepted scientific name.",
            "trade_name": "What the trade calls it.",
            "profile": "The figures that hold for it.",
            "kind_one": "What pages call one of them.",
            "kind_many": "What pages call several of them.",
            "has_spine": "Whether the tail carries a venomous spine.",
        },
    ),
    Kind(
        "animals.Strain",
        "strains",
        _("A colour strain or named line."),
        {
            "name": "What it is called.",
            "species": "The species it is of.",
            "description": "What it looks like.",
        },
    ),
    Kind(
        "animals.Animal",
        "animals",
        _("An animal, here or gone, or one known as an ancestor only."),
        {
            "code": "The animal's code: no two have the same.",
            "call_name": "What it is called.",
            "chip": "The number of its microchip, without spaces.",
            "sex": "Its sex.",
            "strain": "Its colour strain or named line.",
            "origin": "Where it comes from.",
            "born_precision": "How much of the day of birth is known.",
            "sire": "Its father. Empty: not known for certain; see possible_sires.",
            "dam": "Its mother. Empty: not known.",
            "markings": "What it can be told by.",
            "state": "Whether it is here, and what became of it.",
            "state_on": "Since when.",
            "portrait": "The photograph that stands beside its name.",
        },
    ),
    Kind(
        "animals.PossibleSire",
        "possible_sires",
        _("A male that may be the father, where it is not certain which one is."),
        {
            "animal": "The young animal.",
            "sire": "The male.",
            "share": "How likely, as an exact fraction: those of one animal add up to 1 at most.",
        },
    ),
    Kind(
        "animals.SpeciesShare",
        "species_shares",
        _("How much of an animal without recorded parents is of a species."),
        {
            "species": "The species.",
            "share": "How much, as an exact fraction: 1 is pure.",
        },
    ),
    Kind(
        "animals.Photograph",
        "photographs",
        _("A picture of an animal."),
        {
            "picture": "The file of the picture, under files/.",
            "thumbnail": "The file of the small picture, under files/.",
            "width_px": "Width of the picture.",
            "height_px": "Height of the picture.",
            "taken_on": "The day it was taken.",
            "is_drawing": "Whether it is drawn and no photograph.",
            "caption": "What it shows.",
        },
    ),
    Kind(
        "identity.UntoldPicture",
        "pictures_of_nobody",
        _("A picture of which nobody has said yet who it is."),
        {
            "picture": "The file of the picture, under files/.",
            "thumbnail": "The file of the small picture, under files/.",
            "width_px": "Width of the picture.",
            "height_px": "Height of the picture.",
            "taken_on": "The day it was taken.",
            "became": "The picture of an animal that it has become.",
        },
    ),
    Kind(
        "identity.PatternReading",
        "spots",
        _("The disc as it was marked on a picture, and the spots found in it."),
        {
            "photograph": "The picture of an animal. Empty: of nobody yet.",
            "untold": "The picture of nobody yet.",
            "taps": "Snout tip, left and right edge, tail base: pixels from the left and the top.",
            "spots": "Each spot: right, towards the tail, radius; half the width of the disc is 1.",
            "finder": "Which finder found them.",
            "is_light": "Whether most spots are lighter than the skin.",
            "contrast": "How far the spots stand off the skin, in logarithms.",
            "grain": "The same of what is no pattern.",
            "is_corrected": "Whether a keeper added spots or took some away.",
            "is_used": "Whether they serve to tell who is who.",
            "like": "Another animal that it looked like when it was asked. Empty: none.",
            "compared_at": "When it was held against all others. Empty: not yet.",
        },
    ),
    Kind(
        "identity.SaidTwo",
        "twos_that_look_alike",
        _("Two animals that look alike and are two, as a keeper says."),
        {
            "one": "The animal that was written down first.",
            "other": "The other animal.",
        },
    ),
    Kind(
        "animals.Measurement",
        "measurements",
        _("What an animal measured and weighed on a day."),
        {
            "disc_width_mm": "Its size: of a ray the width of the disc, else as its species says.",
            "weight_g": "Weight.",
            "condition": "How well fed it looks, from 1 (thin) to 5 (fat).",
        },
    ),
    Kind(
        "animals.Loan",
        "loans",
        _("The days on which an animal was lent; with whom it was then, nobody knows."),
        {
            "since": "The first day away.",
            "until": "The day it was back, or gone for good. Empty: it is away.",
        },
    ),
)
