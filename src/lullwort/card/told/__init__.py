"""The alerts that were told, and that somebody has seen them."""

__all__: list[str] = []
