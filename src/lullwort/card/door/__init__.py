"""Whom the card lets in, and what it takes from a browser."""

__all__: list[str] = []
