"""The plot class: places, px and shown units belong together; colours follow the theme."""

import numpy as np
import pytest
from PySide6.QtCore import QPointF

from designer.window import theme
from designer.window.plot import Axis, Plot

TIME = Axis(1.0, 40320.0, ((1.0, "1 min"), (60.0, "1 h")), log=True)
KPA = Axis(1.0, 1000.0, ((10.0, "10"), (100.0, "100")), log=True)


@pytest.fixture
def plot(qtbot, qapp):
    made = Plot(TIME, KPA)
    qtbot.addWidget(made)
    made.resize(600, 300)
    made.show()
    qtbot.waitExposed(made)
    return made


def test_axis_ends_are_the_corners_of_the_area(plot):
    assert plot.px(1.0, 1.0) == plot.area().bottomLeft()
    assert plot.px(40320.0, 1000.0).x() == pytest.approx(plot.area().right())


def test_a_point_in_px_is_read_back_in_shown_units(plot):
    x, y = plot.at(plot.px(60.0, 21.0))
    assert (x, y) == pytest.approx((60.0, 21.0))


def test_a_curve_is_painted_where_px_says(plot, qtbot):
    curve = plot.curve("accent", 3)
    plot.show_curve(curve, np.array([1.0, 40320.0]), np.array([30.0, 30.0]))
    picture = plot.grab().toImage()
    at = plot.px(200.0, 30.0)
    ratio = picture.devicePixelRatio()
    column = [
        picture.pixelColor(round(at.x() * ratio), y).name()
        for y in range(round((at.y() - 4) * ratio), round((at.y() + 4) * ratio))
    ]
    assert theme.LIGHT.accent in column


def test_a_band_fills_between_its_lines(plot):
    band = plot.band("accent", 0.5)
    x = np.array([1.0, 40320.0])
    plot.show_band(band, x, np.array([10.0, 10.0]), np.array([100.0, 100.0]))
    picture = plot.grab().toImage()

    def colour(y):
        at = plot.px(200.0, y)
        return picture.pixelColor(round(at.x()), round(at.y())).name()

    assert colour(30.0) != theme.LIGHT.paper
    assert colour(300.0) == theme.LIGHT.paper


def test_colours_follow_the_theme(plot, qapp):
    curve = plot.curve("ink", 1)
    theme.set_theme(qapp, theme.DARK)
    try:
        qapp.processEvents()
        assert curve.item.opts["pen"].color().name() == theme.DARK.ink
        picture = plot.grab().toImage()
        corner = plot.area().topRight() - QPointF(2, -2)
        assert picture.pixelColor(corner.toPoint()).name() == theme.DARK.paper
    finally:
        theme.set_theme(qapp, theme.LIGHT)


def test_new_axes_move_what_is_shown(plot):
    curve = plot.curve("ink", 1)
    plot.show_curve(curve, np.array([60.0, 600.0]), np.array([30.0, 30.0]))
    before = curve.item.xData.copy()
    plot.set_axes(Axis(10.0, 40320.0, log=True), KPA)
    assert (curve.item.xData < before).all()
    assert curve.data[0].tolist() == [60.0, 600.0]


def test_a_line_and_a_band_have_a_gap_where_there_is_no_number(plot):
    x = np.array([1.0, 10.0, 60.0, 600.0, 40320.0])
    y = np.array([20.0, 20.0, np.nan, 20.0, 20.0])
    line, band = plot.curve("accent", 3), plot.band("accent", 0.5)
    plot.show_curve(line, x, y)
    plot.show_band(band, x, y, 2 * y)
    picture = plot.grab().toImage()

    def near(minutes, kpa):
        at = plot.px(minutes, kpa)
        return picture.pixelColor(round(at.x()), round(at.y())).name()

    assert near(60.0, 20.0) == near(60.0, 30.0) == theme.LIGHT.paper
    assert near(3.0, 30.0) != theme.LIGHT.paper
    assert near(2000.0, 30.0) != theme.LIGHT.paper


def test_margins_changed_move_the_area_and_what_is_in_it(plot):
    curve = plot.curve("accent", 3)
    plot.show_curve(curve, np.array([1.0, 40320.0]), np.array([1000.0, 1000.0]))
    plot.set_margins((60, 90, 20, 40))
    assert plot.area().left() == 60
    assert plot.area().top() == 90
    picture = plot.grab().toImage()
    column = [picture.pixelColor(200, y).name() for y in range(86, 94)]
    assert theme.LIGHT.accent in column
