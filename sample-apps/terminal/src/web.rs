//! Requests to a relay, over HTTP and TLS.

use std::time::Duration;

use fallaway::sync::{
    ExchangeFault, HttpMethod, HttpRequest, HttpResponse, HttpTransport, MAX_BODY, NoAnswer,
    TIMEOUT_S,
};
use ureq::http::{Request, Response};
use ureq::{Agent, Body, Error};

/// Sends requests by a client of its own.
pub struct Web(Agent);

impl Web {
    /// A client that follows no redirect and gives a request up as the library says.
    pub fn new() -> Self {
        let config = Agent::config_builder()
            .http_status_as_error(false)
            .max_redirects(0)
            .max_redirects_will_error(false)
            .timeout_global(Some(Duration::from_secs(TIMEOUT_S.into())))
            .build();
        Self(config.into())
    }

    fn answer(&self, request: &HttpRequest) -> Result<Response<Body>, Error> {
        let mut head = Request::builder().method(request.method.as_str()).uri(&request.url);
        for (name, value) in &request.headers {
            head = head.header(*name, value);
        }
        match request.method {
            HttpMethod::Get | HttpMethod::Delete => self.0.run(head.body(())?),
            HttpMethod::Post | HttpMethod::Put => self.0.run(head.body(request.body.as_slice())?),
        }
    }
}

impl Default for Web {
    fn default() -> Self {
        Self::new()
    }
}

impl HttpTransport for Web {
    fn send(&self, request: &HttpRequest) -> Result<HttpResponse, NoAnswer> {
        let mut response = self.answer(request).map_err(|error| fault(&error))?;
        let headers = response.headers().iter().filter_map(|(name, value)| {
            Some((name.as_str().to_owned(), value.to_str().ok()?.to_owned()))
        });
        let headers = headers.collect();
        let body = response.body_mut().with_config().limit(MAX_BODY as u64).read_to_vec();
        let body = body.map_err(|error| fault(&error))?;
        Ok(HttpResponse { status: response.status().as_u16(), headers, body })
    }
}

fn fault(error: &Error) -> NoAnswer {
    let why = match error {
        Error::Timeout(_) => ExchangeFault::Slow,
        Error::Tls(_) | Error::Rustls(_) => ExchangeFault::Untrusted,
        Error::Http(_) | Error::Protocol(_) | Error::BodyExceedsLimit(_) => ExchangeFault::Garbage,
        _ => ExchangeFault::Offline,
    };
    NoAnswer { why, reason: error.to_string() }
}
