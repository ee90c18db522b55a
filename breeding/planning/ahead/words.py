"""What the arithmetic of looking ahead says, which knows no language, for the catalogs."""

from breeding.words.language import message

SAID = (
    message("years looked ahead"),
    message("programs simulated"),
    message("grown females that are paired in a year"),
    message("most females one male is put to in a year"),
    message("litters of a paired female in a year, on average"),
    message("young born alive in a litter, on average (at least one)"),
    message("young that are female"),
    message("age from which females are paired, in years"),
    message("age from which males are paired, in years"),
    message("age from which nobody is paired any more, in years"),
    message("young born alive that die in their first year"),
    message("older ones that die in a year"),
    message("surviving young that leave in their first year"),
    message("older ones that leave in a year"),
    message("most animals there is room for; beyond it young of the year leave"),
    message("as many as live today"),
    message("the largest F the plan accepts in young"),
    message("how much the plan minds rare genes rather than low F"),
    message("genes followed from founder to young"),
    message(
        "Once a year: grown animals are paired and bear young; then some die, some leave, all age."
    ),
    message("The same number of females is drawn to be paired under every policy."),
    message("A litter has one pup and by chance more (Poisson), so that the average is as typed."),
    message("Which young stay and who dies or leaves is chance; nobody is chosen for rare genes."),
    message("Animals of unknown sex are given one by chance; those of unknown age count as grown."),
    message("Unknown parents count as unrelated founders, so kinship is a lower bound."),
    message("Inbreeding does not change survival or litter size here."),
    message("As now: any grown male with any grown female"),
    message("By the plan: the best allocation every year"),
    message("As now, and one new founder pair in year two"),
)
