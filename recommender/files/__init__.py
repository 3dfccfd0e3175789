"""What people take away: workbooks and PDF files of a plan, its kit and its limits. Drawn, never computed, here."""
