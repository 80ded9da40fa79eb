"""Marked sizes to the body they were meant for, and the tape to the body that it fits."""
