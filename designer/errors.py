"""Errors meant for the person at the screen or in the terminal."""


class ReadableError(Exception):
    """Something a person did or met that needs a person's answer.

    Parameters
    ----------
    title : str
        What it is about: a field, a file, a cell ("Row 4, percent").
    problem : str
        What is wrong, one sentence.
    advice : str
        What to do about it, one sentence.
    """

    def __init__(self, title: str, problem: str, advice: str) -> None:
        super().__init__(title, problem, advice)
        self.title = title
        self.problem = problem
        self.advice = advice

    def __str__(self) -> str:
        return f"{self.title}: {self.problem} {self.advice}"


class Notice(ReadableError):  # noqa: N818 - nothing went wrong
    """Something that was done otherwise than it looks, and that a person should know."""
