"""Pages, one module a group; each lists its ROUTES."""
