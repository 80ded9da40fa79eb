"""From value to the rail: mending, demand, markdown, the rail, tickets and statements."""
