"""What every page shares: routes with roles, answers to exceptions, templates, forms."""
