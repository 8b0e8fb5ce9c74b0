"""The dashboard: a homeowner alone, or a plumber with a tablet, explores the same options."""
