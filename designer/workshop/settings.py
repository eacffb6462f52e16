"""Settings of the workshop that belong to its data, as the currency of prices."""

from designer.workshop.checks import check_currency, check_line
from designer.workshop.database import Database

__all__ = ["Settings"]


class Settings:
    """Named texts in the stores."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def text(self, name: str, default: str = "") -> str:
        """Return a setting, or the default where none was made."""
        found = self._database.rows("SELECT value FROM setting WHERE name = ?", (name,))
        return str(found[0][0]) if found else default

    def put(self, name: str, value: str) -> None:
        """Keep a setting."""
        check_line("Setting", name, required=True)
        check_line(f"Setting {name}", value)
        with self._database.write():
            self._database.run(
                "INSERT INTO setting (name, value) VALUES (?, ?) "
                "ON CONFLICT (name) DO UPDATE SET value = excluded.value",
                (name, value),
            )

    @property
    def currency(self) -> str:
        """Currency of a price that states none, "" where none is chosen."""
        return self.text("currency")

    def choose_currency(self, code: str) -> None:
        """Keep the currency of prices that state none."""
        self.put("currency", check_currency(code))
