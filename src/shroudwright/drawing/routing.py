"""Lines laid on a grid between ports: they turn square, cross straight over, and never lie on each other.

Grid    what is taken, and the way from one port to another
"""

import heapq
from collections.abc import Iterable

from shroudwright.bench.errors import InputError

Node = tuple[int, int]
_WAYS = ((1, 0), (0, 1), (-1, 0), (0, -1))
_BEND, _CROSS = 3.0, 4.0
_ACROSS, _UPRIGHT, _TURNED = 1, 2, 4


class Grid:
    """A sheet of squares on which lines are laid one after another."""

    def __init__(self, left: int, bottom: int, right: int, top: int) -> None:
        self.left, self.bottom, self.right, self.top = left, bottom, right, top
        self.blocked: set[Node] = set()
        self._lines: dict[Node, int] = {}
        self._ends: dict[Node, str] = {}

    def block(self, x1: float, y1: float, x2: float, y2: float) -> None:
        """Keep lines out of a box, its edges too."""
        for x in range(int(-(-x1 // 1)), int(x2 // 1) + 1):
            self.blocked |= {(x, y) for y in range(int(-(-y1 // 1)), int(y2 // 1) + 1)}

    def keep(self, node: Node, net: str) -> None:
        """Keep a node for the lines that end on one terminal."""
        self._ends[node] = net

    def lay(self, starts: Iterable[Node], ends: Iterable[Node], nets: tuple[str, str]) -> list[Node]:
        """Lay a line from the best start to the best end and return its corners.

        Raises
        ------
        InputError
            If there is no way left on the sheet.
        """
        goals = set(ends)
        queue: list[tuple[float, float, Node, int]] = []
        best: dict[tuple[Node, int], float] = {}
        came: dict[tuple[Node, int], tuple[Node, int]] = {}
        for node in sorted(starts):
            for way in range(4):
                best[node, way] = 0.0
                heapq.heappush(queue, (self._ahead(node, goals), 0.0, node, way))
        while queue:
            _, cost, node, way = heapq.heappop(queue)
            if cost > best[node, way]:
                continue
            if node in goals:
                return self._take((node, way), came)
            for turn, (dx, dy) in enumerate(_WAYS):
                if (turn - way) % 4 == 2 or (turn != way and not self._may_turn(node, nets)):
                    continue
                after = node[0] + dx, node[1] + dy
                step = self._step(after, turn, nets, after in goals)
                if step is None:
                    continue
                total = cost + step + (_BEND if turn != way else 0.0)
                if total < best.get((after, turn), float("inf")):
                    best[after, turn] = total
                    came[after, turn] = node, way
                    heapq.heappush(queue, (total + self._ahead(after, goals), total, after, turn))
        raise InputError([f"no room on the sheet for the line from {nets[0]} to {nets[1]}"])

    def _ahead(self, node: Node, goals: set[Node]) -> float:
        return float(min(abs(node[0] - x) + abs(node[1] - y) for x, y in goals))

    def _may_turn(self, node: Node, nets: tuple[str, str]) -> bool:
        return not self._lines.get(node) or self._ends.get(node) in nets

    def _step(self, node: Node, way: int, nets: tuple[str, str], is_goal: bool) -> float | None:
        """Cost of stepping onto a node; none where it may not be."""
        x, y = node
        if not (self.left <= x <= self.right and self.bottom <= y <= self.top) or (node in self.blocked):
            return None
        own = self._ends.get(node)
        if own is not None:
            return 1.0 if own in nets and is_goal else None
        lies = self._lines.get(node, 0)
        along = _ACROSS if way % 2 == 0 else _UPRIGHT
        if lies & (_TURNED | along):
            return None
        return 1.0 + (_CROSS if lies else 0.0)

    def _take(self, end: tuple[Node, int], came: dict[tuple[Node, int], tuple[Node, int]]) -> list[Node]:
        walked = [end]
        while walked[-1] in came:
            walked.append(came[walked[-1]])
        walked.reverse()
        corners = [walked[0][0]]
        for place, (node, way) in enumerate(walked):
            before = walked[place - 1][1] if place else way
            after = walked[place + 1][1] if place + 1 < len(walked) else way
            if place + 1 < len(walked) and place and after != way:
                corners.append(node)
                self._lines[node] = self._lines.get(node, 0) | _TURNED
            elif place + 1 < len(walked) or before == way:
                self._lines[node] = self._lines.get(node, 0) | (_ACROSS if way % 2 == 0 else _UPRIGHT)
        corners.append(walked[-1][0])
        return corners
