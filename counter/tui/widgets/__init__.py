"""The pieces that screens are put together from."""
