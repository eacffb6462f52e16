"""Our one plot class."""

import pyqtgraph

from designer.vocabulary import QUANTITIES

__all__ = ["Plot"]


class Plot(pyqtgraph.PlotWidget):
    """A plot with our axes, colours and type."""

    def __init__(self, x: str, y: str) -> None:
        super().__init__()
        self.setAccessibleName(f"{QUANTITIES[y].words} over {QUANTITIES[x].words}")
