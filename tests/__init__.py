"""Tests of daybefore."""
