"""From a recipe to every reading, with its uncertainty."""
