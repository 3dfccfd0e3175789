"""Questions asked of a plan and its kit; typed answers, nothing printed."""
