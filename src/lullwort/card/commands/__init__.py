"""What the card has commands do, and how a page says what they said."""

__all__: list[str] = []
