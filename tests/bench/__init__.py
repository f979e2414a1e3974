"""Benchmarks: measured, never asserted in tests."""
