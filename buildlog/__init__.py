"""The core: records, photos, figures and pages. It knows nothing of the site generator."""
