"""From text to a judged, typed spec: files, schema, private fields, packaged resources, git state."""
