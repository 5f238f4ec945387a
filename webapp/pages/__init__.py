"""The pages: one router each. A handler reads the form, calls one function, shows the page."""
