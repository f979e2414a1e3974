"""Tests that need a browser."""
