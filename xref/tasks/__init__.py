"""One file a question: joins library, stock, bench, search, adapt and physics."""
