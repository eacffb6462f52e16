"""The window: a folder per page; nothing here computes chemistry."""
