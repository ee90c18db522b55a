"""A family tree as text for graphviz: newest at the bottom, each ancestor drawn once."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

import graphviz

from pedigree.pedigree import Pedigree

Sex = Literal["female", "male"] | None

# Square male, circle female, diamond unknown; a double line for a consanguineous pairing:
# Bennett et al. 2008, J Genet Couns 17:424-433.
_SHAPES: dict[Sex, str] = {"male": "box", "female": "ellipse", None: "diamond"}
DOUBLE = "{0}:invis:{0}"


@dataclass(frozen=True)
class Card:
    """What a node of the tree says: its lines of text, its sex, and the address it leads to."""

    lines: tuple[str, ...]
    sex: Sex = None
    address: str | None = None
    tooltip: str = ""


@dataclass(frozen=True)
class Ink:
    """Colours and type; the default names are replaced by the page's own colours."""

    line: str = "#7d837a"
    text: str = "#22302f"
    font: str = "DejaVu Sans"
    size: float = 10.0


def family_tree(
    pedigree: Pedigree,
    animal: Hashable,
    *,
    generations: int = 3,
    cards: Mapping[Hashable, Card] | None = None,
    ink: Ink = Ink(),
) -> str:
    """DOT text of an animal and its ancestors over 1 to 6 generations.

    `cards` says what stands in each node; an id without a card shows itself. A common ancestor is
    one node with all its lines; a pairing of kin has a double line; an unknown parent is a dashed
    outline; possible sires have dashed lines with their shares. Sire left, dam right, as far as
    the lines allow. Ids are never put into the text: nodes are named a0, a1, ...

    Raises UnknownAnimal, and ValueError for generations out of range. Cost: linear in the nodes,
    besides a kinship for each pairing.

    >>> ped = Pedigree.from_rows([("X", "S", None), ("S", None, None)])
    >>> "a0" in family_tree(ped, "X")
    True
    """
    if not 1 <= generations <= 6:
        raise ValueError(f"{generations} generations cannot be drawn; allowed is 1 to 6.")
    pedigree.row(animal)
    return _Tree(pedigree, cards or {}, ink).draw(animal, generations)


class _Tree:
    def __init__(self, pedigree: Pedigree, cards: Mapping[Hashable, Card], ink: Ink) -> None:
        self.pedigree, self.cards, self.ink = pedigree, cards, ink
        self.names: dict[Hashable, str] = {}
        self.pairings: set[str] = set()
        self.graph = graphviz.Digraph(
            graph_attr={
                "bgcolor": "transparent",
                "splines": "ortho",
                "nodesep": "0.16",
                "ranksep": "0.3",
                "margin": "0.02",
            },
            node_attr={
                "fontname": ink.font,
                "fontsize": f"{ink.size:g}",
                "color": ink.text,
                "fontcolor": ink.text,
                "margin": "0.09,0.05",
                "height": "0.3",
                "width": "0.5",
                "penwidth": "1.1",
            },
            edge_attr={"arrowhead": "none", "color": ink.line, "penwidth": "1.1"},
        )

    def draw(self, animal: Hashable, generations: int) -> str:
        self._node(animal, is_subject=True)
        level = [animal]
        drawn = {animal}
        for _ in range(generations):
            above: list[Hashable] = []
            for one in level:
                above += [parent for parent in self._parents(one) if parent not in drawn]
                drawn.update(above)
            level = list(dict.fromkeys(above))
        return str(self.graph.source)

    def _node(self, animal: Hashable, *, is_subject: bool = False) -> str:
        if animal in self.names:
            return self.names[animal]
        name = self.names[animal] = f"a{len(self.names)}"
        card = self.cards.get(animal) or Card((str(animal),))
        attributes = {
            "label": "\\n".join(graphviz.escape(line) for line in card.lines) or " ",
            "shape": _SHAPES[card.sex],
            "id": name,
            "class": "subject" if is_subject else "ancestor",
            "tooltip": graphviz.escape(card.tooltip or ", ".join(card.lines)),
        }
        if is_subject:
            attributes["penwidth"] = "2.2"
        if card.address:
            attributes["URL"] = graphviz.escape(card.address)
        self.graph.node(name, **attributes)
        return name

    def _unknown(self, key: str) -> str:
        name = f"unknown_{key}"
        self.graph.node(
            name,
            label="unknown",
            shape="diamond",
            style="dashed",
            fontsize=f"{self.ink.size - 1:g}",
            color=self.ink.line,
            fontcolor=self.ink.line,
            margin="0.01,0.01",
            **{"class": "unknown", "id": name, "tooltip": "not on record"},
        )
        return name

    def _parents(self, animal: Hashable) -> list[Hashable]:
        """Draw the pairing an animal comes from; returns the parents that are known."""
        sires, dam = self.pedigree.sires(animal), self.pedigree.dam(animal)
        if not sires and dam is None:
            return []
        child = self.names[animal]
        if len(sires) == 1 and dam is not None and next(iter(sires.values())) == 1:
            pairing = f"p_{self._node(next(iter(sires)))}_{self._node(dam)}"
        else:
            pairing = f"p_{child}"
        self.graph.edge(pairing, child, **{"class": "line"})
        if pairing in self.pairings:
            return []
        self.pairings.add(pairing)
        self.graph.node(
            pairing,
            label="",
            shape="point",
            width="0.02",
            height="0.02",
            color=self.ink.line,
            ordering="in",
            **{"class": "pairing", "id": pairing, "tooltip": ""},
        )
        for sire, share in sires.items():
            self._join(self._node(sire), pairing, share, self._are_kin(sire, dam))
        if not sires:
            self._join(self._unknown(f"sire_{child}"), pairing, Fraction(1), False)
        if dam is None:
            self._join(self._unknown(f"dam_{child}"), pairing, Fraction(1), False)
        else:
            kin = any(self._are_kin(sire, dam) for sire in sires)
            self._join(self._node(dam), pairing, Fraction(1), kin)
        return [*sires, *([] if dam is None else [dam])]

    def _are_kin(self, sire: Hashable, dam: Hashable | None) -> bool:
        return dam is not None and self.pedigree.kinship(sire, dam) > 0

    def _join(self, parent: str, pairing: str, share: Fraction, kin: bool) -> None:
        attributes = {"class": "line"}
        if kin:
            attributes["color"] = DOUBLE.format(self.ink.line)
        if share != 1:
            attributes |= {
                "style": "dashed",
                "xlabel": str(share),
                "fontsize": f"{self.ink.size - 2:g}",
                "fontcolor": self.ink.line,
            }
        self.graph.edge(parent, pairing, **attributes)
