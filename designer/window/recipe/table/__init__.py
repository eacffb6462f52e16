"""The recipe table."""

from designer.window.recipe.table.view import RecipeTable

__all__ = ["RecipeTable"]
