"""Steps from 0021 on."""
