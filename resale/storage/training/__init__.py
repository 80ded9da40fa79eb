"""What is kept of training: courses, and readings that were set right."""
