"""One writer a format; each walks the document model and computes nothing."""
