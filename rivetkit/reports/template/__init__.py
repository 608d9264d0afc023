"""Full-size templates: pages to tape together."""
