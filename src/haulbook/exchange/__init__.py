"""Files in and out: sheets, maps, permits, layouts, book files."""
