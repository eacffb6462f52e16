"""The page Recipe: facts, sentence, table, map, clock, readings."""
