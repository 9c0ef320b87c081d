"""Parts of the page that brings in exports: what each asks, shows and says."""
