"""Tests of switches."""
