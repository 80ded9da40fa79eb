"""What is counted, measured or graded by eye."""
