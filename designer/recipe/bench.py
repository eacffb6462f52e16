"""The conditions under which a batch is made."""

from dataclasses import dataclass

from designer.recipe.checks import CellError, check_domain

__all__ = ["DEFAULT_BATCH", "DEFAULT_WANTED", "Bench"]

DEFAULT_BATCH = 0.45
"""Dough of four bars [kg], taken where no batch is stated; common practice, no source."""

DEFAULT_WANTED = 0.7
"""Chance of a clean knead wanted where none is stated: 14 of 20; our own choice."""


@dataclass(frozen=True)
class Bench:
    """The conditions of the batch.

    Attributes
    ----------
    room, humidity, bath : float [K], [1], [K]
    liquids : float or None [K]
        Temperature of the liquids as they go in; None is that of the room.
    batch : float or None [kg]
        Dough weighed in. Either this or `bars` is stated, or neither.
    bars : int or None
    net : float or None [kg]
        Weight of a bar as portioned; bars need it. The allowance for drying is not in it.
    loss : float [1]
        Share of the dough left on bowl, hands and press.
    knead : (float, float) [s]
        Kneading time within which a dough that comes clean counts as clean.
    wanted : float [1]
        Chance of a clean knead that the maker is content with.
    """

    room: float = 294.15
    humidity: float = 0.5
    bath: float = 343.15
    liquids: float | None = None
    batch: float | None = None
    bars: int | None = None
    net: float | None = None
    loss: float = 0.0
    knead: tuple[float, float] = (300.0, 1200.0)
    wanted: float = DEFAULT_WANTED

    def __post_init__(self) -> None:
        for name in ("room", "humidity", "bath", "liquids", "batch", "net", "loss", "wanted"):
            check_domain(name, getattr(self, name))
        for end in self.knead:
            check_domain("knead", end)
        if self.knead[0] > self.knead[1]:
            raise CellError("knead", "The kneading time ends before it starts.", "Swap the two.")
        self._check_batch()

    def _check_batch(self) -> None:
        """Raise unless the batch is stated one way at most."""
        if self.bars is None:
            return
        if self.batch is not None:
            raise CellError(
                "batch", "Both the batch and the number of bars are stated.", "Keep one of them."
            )
        if not 1 <= self.bars <= 100_000:
            raise CellError("makes", f"{self.bars} bars cannot be made.", "State 1 to 100000 bars.")
        if self.net is None:
            raise CellError(
                "net",
                "The number of bars is stated without the weight of one.",
                'Add it, as net = "100 g".',
            )
        check_domain("batch", self.bars * self.net / (1 - self.loss))

    @property
    def stated_batch(self) -> float | None:
        """Dough to weigh in [kg]: the batch, or bars times net over what the loss leaves."""
        if self.bars is not None and self.net is not None:
            return self.bars * self.net / (1 - self.loss)
        return self.batch

    @property
    def batch_mass(self) -> float:
        """Dough to weigh in [kg]; `DEFAULT_BATCH` where nothing is stated."""
        stated = self.stated_batch
        return DEFAULT_BATCH if stated is None else stated
