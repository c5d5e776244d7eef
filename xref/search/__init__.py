"""From a statement to ranked candidates: hard gates, then an explained distance."""
