//! Requests and answers as data, for whatever client or server the platform has.

/// The methods that are used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HttpMethod {
    /// GET
    Get,
    /// POST
    Post,
    /// PUT
    Put,
    /// DELETE
    Delete,
}

impl HttpMethod {
    /// As it stands in the request line.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Get => "GET",
            Self::Post => "POST",
            Self::Put => "PUT",
            Self::Delete => "DELETE",
        }
    }
}

/// A request to a relay. Its address and headers are secrets of the record: they belong in no log.
#[derive(Clone, PartialEq, Eq)]
pub struct HttpRequest {
    /// The method that it is sent by.
    pub method: HttpMethod,
    /// The whole address: `https://relay.example/v1/..`, or `http` on this machine.
    pub url: String,
    /// Headers by name and value.
    pub headers: Vec<(&'static str, String)>,
    /// The body; empty where the method has none.
    pub body: Vec<u8>,
}

impl std::fmt::Debug for HttpRequest {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // Its headers hold a token.
        write!(f, "{} {} ({} bytes)", self.method.as_str(), self.url, self.body.len())
    }
}

/// What a relay answers to a request.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct HttpResponse {
    /// The status, three digits: 200 and so on (RFC 9110).
    pub status: u16,
    /// Headers by name and value, as they came.
    pub headers: Vec<(String, String)>,
    /// The body: at most [`super::limits::MAX_BODY_BYTES`].
    pub body: Vec<u8>,
}

impl HttpResponse {
    /// The value of a header; upper and lower case do not matter.
    pub fn header(&self, name: &str) -> Option<&str> {
        let found = self.headers.iter().find(|(known, _)| known.eq_ignore_ascii_case(name));
        found.map(|(_, value)| value.trim())
    }
}
