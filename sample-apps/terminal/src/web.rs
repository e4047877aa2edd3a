//! Requests to a relay, over HTTP and TLS.

use std::io::ErrorKind;
use std::sync::Arc;
use std::time::Duration;

use fallaway::sync::{
    ExchangeFault, HttpMethod, HttpRequest, HttpResponse, HttpTransport, MAX_BODY, NoAnswer,
    TIMEOUT_S,
};
use ureq::http::{Request, Response};
use ureq::tls::{Certificate, PemItem, RootCerts, TlsConfig, parse_pem};
use ureq::{Agent, Body, Error};

/// Sends requests by a client of its own.
pub struct Web {
    agent: Agent,
    admission: Option<String>,
}

impl Web {
    /// A client that follows no redirect and gives a request up as the library says. It trusts the roots
    /// that everybody trusts, or these alone.
    pub fn new(roots: Option<Vec<Certificate<'static>>>) -> Self {
        let roots = match roots {
            Some(roots) => RootCerts::Specific(Arc::new(roots)),
            None => RootCerts::WebPki,
        };
        let config = Agent::config_builder()
            .tls_config(TlsConfig::builder().root_certs(roots).build())
            .http_status_as_error(false)
            .max_redirects(0)
            .max_redirects_will_error(false)
            .timeout_global(Some(Duration::from_secs(TIMEOUT_S.into())))
            .build();
        Self { agent: config.into(), admission: None }
    }

    /// The same, which shows a relay this admission code.
    pub fn showing(self, admission: Option<String>) -> Self {
        Self { admission, ..self }
    }

    fn answer(&self, request: &HttpRequest) -> Result<Response<Body>, Error> {
        let mut head = Request::builder().method(request.method.as_str()).uri(&request.url);
        for (name, value) in &request.headers {
            head = head.header(*name, value);
        }
        match request.method {
            HttpMethod::Get | HttpMethod::Delete => self.agent.run(head.body(())?),
            HttpMethod::Post | HttpMethod::Put => {
                self.agent.run(head.body(request.body.as_slice())?)
            }
        }
    }
}

/// The certificates in a file; none if it is no such file.
pub fn certificates(pem: &[u8]) -> Vec<Certificate<'static>> {
    let items = parse_pem(pem).filter_map(Result::ok);
    let certificates = items.filter_map(|item| match item {
        PemItem::Certificate(certificate) => Some(certificate),
        _ => None,
    });
    certificates.collect()
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

    fn admission(&self) -> Option<String> {
        self.admission.clone()
    }
}

fn fault(error: &Error) -> NoAnswer {
    let why = match error {
        Error::Timeout(_) => ExchangeFault::Slow,
        Error::Tls(_) | Error::Rustls(_) => ExchangeFault::Untrusted,
        // What is wrong with a certificate comes as an error of reading.
        Error::Io(error) if error.kind() == ErrorKind::InvalidData => ExchangeFault::Untrusted,
        Error::Http(_) | Error::Protocol(_) | Error::BodyExceedsLimit(_) => ExchangeFault::Garbage,
        _ => ExchangeFault::Offline,
    };
    NoAnswer { why, reason: error.to_string() }
}
