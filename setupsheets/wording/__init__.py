"""Every sentence that a maker reads, for sheet, terminal and log alike."""
