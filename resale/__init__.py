"""A bench for the intake desk of a thrift or consignment shop."""

__version__ = "0.1.0"
