"""What the card knows of the cellar, as numbers and records, and the one thread that reads the book for it."""

__all__: list[str] = []
