"""The whole page Recipe of a document, in use."""

import pytest

from designer.window.recipe.page import RecipePage


@pytest.fixture
def open_page(qtbot, open_recipe):
    """Return a function that shows the page of a demo recipe, or of a recipe given."""

    def opening(source):
        page = RecipePage(open_recipe(source))
        qtbot.addWidget(page)
        page.resize(1280, 746)
        page.add_all()
        page.show()
        page.activateWindow()
        qtbot.waitUntil(page.isActiveWindow)
        return page

    return opening
